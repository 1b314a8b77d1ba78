// The committed description of the database is the database that the migrations make.
import { readFile } from 'node:fs/promises'
import { sql } from 'kysely'
import { afterAll, beforeAll, expect, it } from 'vitest'
import { describeSchema } from '../../db/describe-schema.ts'
import { freshDatabase } from '../database.ts'
import type { TestDatabase } from '../database.ts'

let database: TestDatabase
beforeAll(async () => {
  database = await freshDatabase()
})
afterAll(() => database.drop())

it('db/schema.txt is what the migrations make (npm run schema writes it anew)', async () => {
  const committed = await readFile(new URL('../../db/schema.txt', import.meta.url), 'utf8')
  expect(await describeSchema(database.owner.db)).toBe(committed)
})

it('db/types.ts knows every table, view and column', async () => {
  const types = await readFile(new URL('../../db/types.ts', import.meta.url), 'utf8')
  const columns = await sql<{ name: string }>`
    select table_name || '.' || column_name as name from information_schema.columns
    where table_schema = 'public' and table_name not like 'kysely_%' order by 1
  `.execute(database.owner.db)
  const typed = new Set<string>()
  const tables = new Map(
    [...types.matchAll(/^ {2}(\w+): (\w+);$/gm)].map((match) => [match[2] ?? '', match[1] ?? '']),
  )
  for (const [, name = '', body = ''] of types.matchAll(/interface (\w+) \{\n([^}]*)\n\}/g)) {
    const table = tables.get(name)
    for (const [, column] of body.matchAll(/^ {2}(\w+): /gm)) typed.add(`${table}.${column}`)
  }
  expect(columns.rows.map((row) => row.name).filter((name) => !typed.has(name))).toEqual([])
})
