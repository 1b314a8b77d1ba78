// Writes a database's structure down as text that is the same on every version of Postgres.
import { sql } from 'kysely'
import type { Kysely } from 'kysely'

/**
 * Tables and views with columns, constraints, indexes, triggers, functions and grants, one a line
 * and sorted. Committed as db/schema.txt, so that a migration shows as a diff.
 */
export async function describeSchema<T>(db: Kysely<T>): Promise<string> {
  const result = await sql<{ line: string }>`
    with relation as (
      select c.oid, c.relname, c.relkind from pg_class c
      where c.relnamespace = 'public'::regnamespace and c.relkind in ('r', 'v')
        and c.relname not like 'kysely_%'
    ), lines as (
      select relname as about, 1 as part, a.attnum::int as nr,
        '  ' || a.attname || ' ' || format_type(a.atttypid, a.atttypmod)
          || case when a.attnotnull then ' not null' else '' end
          || case a.attidentity when 'a' then ' identity' else '' end
          || coalesce(' default ' || pg_get_expr(d.adbin, d.adrelid), '') as line
      from relation r join pg_attribute a on a.attrelid = r.oid and a.attnum > 0
        left join pg_attrdef d on d.adrelid = r.oid and d.adnum = a.attnum
      where not a.attisdropped
      union all
      select relname, 0, 0, case relkind when 'r' then 'table ' else 'view ' end || relname
      from relation
      union all
      select relname, 2, 0, '  constraint ' || pg_get_constraintdef(k.oid)
      from relation r join pg_constraint k on k.conrelid = r.oid and k.contype <> 'n'
      union all
      select r.relname, 3, 0, '  '
        || regexp_replace(pg_get_indexdef(i.indexrelid), ' ON public\.', ' ON ')
      from relation r join pg_index i on i.indrelid = r.oid and not i.indisprimary
      union all
      select relname, 4, 0, '  trigger ' || tgname || ' ' || tgenabled::text
      from relation r join pg_trigger t on t.tgrelid = r.oid and not t.tgisinternal
      union all
      select relname, 5, 0, '  grant ' || string_agg(privilege_type, ', ' order by privilege_type)
        || ' to ' || grantee
      from relation r join information_schema.role_table_grants g on g.table_name = r.relname
      where g.grantee in ('canemark_app', 'canemark_reader') and g.table_schema = 'public'
      group by relname, grantee
      union all
      select relname, 6, 0, '  grant ' || lower(privilege_type) || ' of columns '
        || string_agg(column_name, ', ' order by column_name) || ' to ' || grantee
      from relation r join information_schema.column_privileges g on g.table_name = r.relname
      where g.grantee in ('canemark_app', 'canemark_reader') and g.table_schema = 'public'
        and not exists (
          select 1 from information_schema.role_table_grants t
          where t.table_name = g.table_name and t.grantee = g.grantee
            and t.privilege_type = g.privilege_type
        )
      group by relname, grantee, privilege_type
      union all
      select 'zz functions', 1, 0, 'function ' || p.proname || '('
        || pg_get_function_identity_arguments(p.oid) || ')'
        || case when p.prosecdef then ' security definer' else '' end
      from pg_proc p where p.pronamespace = 'public'::regnamespace
    )
    select line from lines order by about, part, nr, line collate "C"`.execute(db)
  return `${result.rows.map((row) => row.line).join('\n')}\n`
}
