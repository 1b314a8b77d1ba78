-- What the records show that a person must answer, worked out from facts scope by scope.

-- Scopes whose findings must be worked out again: a queue filled together with the facts and
-- emptied by settling. Rows are only added, so writers never wait for each other here.
create table finding_scope (
  queue_id bigint generated always as identity primary key,
  scope_kind text not null, scope_id text not null
);

create table finding (
  finding_key text primary key, code text not null, scope_kind text not null,
  scope_id text not null, facts jsonb not null
);
create index finding_scope_of_idx on finding (scope_kind, scope_id);

-- The last word on each thing that may be described more than once.
create view nursery_now as
  select * from nursery order by occurred_at desc, entry_id desc limit 1;
create view variety_now as
  select distinct on (variety_id) * from variety order by variety_id, occurred_at desc, entry_id desc;
create view party_now as
  select distinct on (party_id) * from party order by party_id, occurred_at desc, entry_id desc;
create view place_now as
  select distinct on (place_id) * from place order by place_id, occurred_at desc, entry_id desc;
create view block_now as
  select distinct on (block_id) * from block order by block_id, occurred_at desc, entry_id desc;
create view block_row_now as
  select distinct on (row_id) * from block_row order by row_id, occurred_at desc, entry_id desc;
create view source_now as
  select distinct on (source_id) * from source order by source_id, occurred_at desc, entry_id desc;
create view policy_now as
  select distinct on (key) * from policy_setting
  order by key, effective_from desc, occurred_at desc, entry_id desc;

-- A lot as the first entry that made it says; a second one is a finding.
create view lot_first as
  select distinct on (lot_id) * from lot order by lot_id, occurred_at, entry_id, line;

create view bundle_first as
  select distinct on (bundle_id) * from bundle order by bundle_id, occurred_at, entry_id, line;

-- What a code is bound to: its earliest standing binding, for codes are never used again.
create view tag_now as
  select distinct on (b.code) b.code, b.thing_kind, b.thing_id, b.occurred_at as bound_at,
    b.replaces_code, e.how as ended_how, e.reason as ended_reason, e.occurred_at as ended_at
  from tag_binding b left join tag_end e on e.code = b.code
  order by b.code, b.occurred_at, b.entry_id, e.occurred_at;

create view standing_hold as
  select h.* from hold h
  where not exists (select 1 from hold_lift l where l.hold_id = h.hold_id);

create view finding_open as
  select f.* from finding f
  where not exists (select 1 from finding_answer a where a.finding_key = f.finding_key);

-- Grants: the app may add facts and take back those of a withdrawn entry; never change them.
do $$
declare t text;
begin
  for t in select tablename from pg_tables where schemaname = 'public' and tablename not in
    ('entry', 'set_aside', 'person', 'device', 'installation', 'kysely_migration',
     'kysely_migration_lock')
  loop
    execute format('grant select, insert, delete on %I to canemark_app', t);
    execute format('grant select on %I to canemark_reader', t);
  end loop;
  for t in select viewname from pg_views where schemaname = 'public'
  loop
    execute format('grant select on %I to canemark_app, canemark_reader', t);
  end loop;
end $$;
grant update (count) on balance to canemark_app;
