// Traces back and forward through the program, against the same SQL run directly.
import { Kysely, PostgresDialect } from 'kysely'
import pg from 'pg'
import { connect } from '../../db/connect.ts'
import type { Database } from '../../db/connect.ts'
import type { Tables } from '../../db/tables.ts'
import { traceVineBack } from '../../api/trace/back.ts'
import { reachedVines, traceForward } from '../../api/trace/forward.ts'
import { readRecall } from '../../api/trace/recall.ts'
import { asAdmin, migratedDatabase, withDatabase } from '../server.ts'
import { medianMs, printRatio } from './timing.ts'

const runs = 9
const vinesPerLot = 500
const vinesPerRow = 200
/** Largest nursery for which a recall of all its vines is timed. */
const recallLimit = 100_000
/** Seconds from one graft of a person to the next, and grafts that one person makes. */
const graftSeconds = 40
const graftsPerPerson = 5000

/**
 * Loads `vineCount` grafted vines (500 a lot, ten lots a source, each third lot combined of the
 * two before it, sources raised from lots of older sources) and prints the ratios.
 */
export async function benchTrace(adminUrl: string, vineCount: number): Promise<void> {
  const name = await migratedDatabase(adminUrl, 'canemark_bench')
  const url = withDatabase(adminUrl, name)
  const client = new pg.Client({ connectionString: url })
  await client.connect()
  await load(client, vineCount)
  const lastRow = (Math.ceil(vineCount / vinesPerRow) - 1).toString()
  const row = await idFrom(client, 'row', lastRow)
  await compare(url, `trace back from a vine, of ${vineCount}`, (db) => traceVineBack(db, row, 3))
  for (const nr of ['0', String(Math.floor(vineCount / vinesPerLot / 10 / 2))]) {
    const id = await idFrom(client, 'source', nr)
    const what = nr === '0' ? 'oldest' : 'a middle'
    await compare(url, `trace forward from ${what} source, of ${vineCount}`, async (db) => {
      const forward = await traceForward(db, { kind: 'source', id })
      return reachedVines(db, forward.lineage.ids)
    })
  }
  if (vineCount <= recallLimit) await benchRecall(client, url, vineCount)
  await client.end()
  await asAdmin(adminUrl, `drop database ${name} with (force)`)
}

/** Recalls of everything: by lineage alone (a virus), and by blades too (a viroid). */
async function benchRecall(client: pg.Client, url: string, vineCount: number): Promise<void> {
  const id = await idFrom(client, 'source', '0')
  for (const agent of ['GLRaV-3', 'viroids']) {
    const question = { start: { kind: 'source' as const, id }, agent, foundOn: '2027-06-01' }
    await compare(url, `recall for ${agent}, of ${vineCount}`, async (db) => {
      const recall = await readRecall(db, question)
      return recall.rows.flatMap((row) => row.vines)
    })
  }
}

/** Records the statements that `trace` runs, then times it and them in turn. */
async function compare(
  url: string,
  what: string,
  trace: (db: Database) => Promise<unknown>,
): Promise<void> {
  const reader = connect(url, 'reader')
  const statements: { text: string; values: unknown[] }[] = []
  const recording = new Kysely<Tables>({
    dialect: new PostgresDialect({ pool: reader.pool }),
    log: ({ query }) => void statements.push({ text: query.sql, values: [...query.parameters] }),
  })
  const result = await trace(recording)
  const size = Array.isArray(result) ? `${result.length} vines` : `${statements.length} queries`
  const ourMs = await medianMs(runs, () => trace(reader.db))
  const plainMs = await medianMs(runs, async () => {
    for (const { text, values } of statements) await reader.pool.query(text, values)
  })
  printRatio(`${what} (${size})`, ourMs, plainMs, 'plain SQL')
  await reader.close()
}

async function idFrom(client: pg.Client, kind: string, nr: string): Promise<string> {
  const result = await client.query<{ id: string }>('select id_of($1, $2::int) as id', [kind, nr])
  const id = result.rows[0]?.id
  if (id === undefined) throw new Error(`no id for ${kind} ${nr}`)
  return id
}

async function load(client: pg.Client, vineCount: number): Promise<void> {
  const lots = Math.ceil(vineCount / vinesPerLot)
  const sources = Math.ceil(lots / 10)
  const rows = Math.ceil(vineCount / vinesPerRow)
  await client.query(`
    create function id_of(kind text, nr int) returns uuid immutable language sql as
      $$ select md5(kind || nr)::uuid $$;
    insert into source (entry_id, source_id, level, name, variety_id, origin_lot_id, note,
      occurred_at)
    select id_of('es', nr), id_of('source', nr), 'block', 'Source ' || nr, id_of('variety', 1),
      case when nr > 0 then id_of('lot', (nr - 1) / 3 * 10) end, '', '2020-01-01'
    from generate_series(0, ${sources - 1}) as nr;
    insert into lot (entry_id, line, lot_id, reference, made_by, variety_id, source_id, note,
      occurred_at, person_id)
    select id_of('el', nr), 0, id_of('lot', nr), 'L' || nr, 'cut', id_of('variety', 1),
      case when nr % 3 < 2 then id_of('source', nr / 10) end, '', '2026-01-10', id_of('person', 1)
    from generate_series(0, ${lots - 1}) as nr;
    insert into lot_parent
    select id_of('el', nr), part, id_of('lot', nr), id_of('lot', nr - 1 - part), 100
    from generate_series(2, ${lots - 1}, 3) as nr, generate_series(0, 1) as part;
    insert into block values (id_of('eb', 1), id_of('block', 1), 'Bench', '', '2020-01-01');
    insert into block_row
    select id_of('er', nr), id_of('row', nr), id_of('block', 1), nr::text, nr + 1, ${vinesPerRow},
      null, '{}', '2020-01-01'
    from generate_series(0, ${rows - 1}) as nr;
    insert into graft
    select id_of('eg', nr), id_of('row', nr / ${vinesPerRow}), 1 + nr % ${vinesPerRow},
      id_of('lot', nr / ${vinesPerLot}), id_of('none', 0), 'chip bud', 2, null, null,
      id_of('person', nr / ${graftsPerPerson}), id_of('device', 1),
      timestamptz '2027-04-01' + nr % ${graftsPerPerson} * interval '${graftSeconds} seconds'
    from generate_series(0, ${vineCount - 1}) as nr;
    analyze;`)
}
