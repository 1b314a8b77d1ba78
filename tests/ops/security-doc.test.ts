// The documents on security and operating name a test for each claim, and leave no table out.
import { existsSync, readFileSync } from 'node:fs'
import path from 'node:path'
import { sql } from 'kysely'
import { expect, it } from 'vitest'
import { freshDatabase } from '../database.ts'

const docs = path.resolve(import.meta.dirname, '../../docs')
const documents = ['security.md', 'operating.md'] as const
const textOf = (name: string) => readFileSync(path.join(docs, name), 'utf8')

it.each(documents)('every link of %s leads to a file, and to a test of that title', (name) => {
  const links = [...textOf(name).matchAll(/\[([^\]]+)\]\(([^)#]+)\)/g)]
  expect(links.length).toBeGreaterThan(3)
  const wrong = links.flatMap(([, text = '', target = '']) => {
    const file = path.join(docs, target)
    if (/^https?:/.test(target)) return []
    if (!existsSync(file)) return [`${target} is not there`]
    const title = /^“(.+)”$/s.exec(text)?.[1]
    if (title === undefined || titlesOf(file).includes(title)) return []
    return [`${target} has no test “${title}”`]
  })
  expect(wrong).toEqual([])
})

it('every table of the database has its sentence of trust', async () => {
  const database = await freshDatabase()
  try {
    const { rows } = await sql<{ name: string }>`
      select tablename as name from pg_tables where schemaname = 'public'`.execute(
      database.owner.db,
    )
    const tableRows = textOf('security.md').matchAll(/^\| `([a-z_]+)` \| /gm)
    const told = [...tableRows].map(([, table]) => table)
    expect(told.sort()).toEqual(rows.map(({ name }) => name).sort())
  } finally {
    await database.drop()
  }
})

/** The text of a test file with titles that run over several lines put together. */
function titlesOf(file: string): string {
  return readFileSync(file, 'utf8').replace(/['`]\s*\+\s*['`]/g, '')
}
