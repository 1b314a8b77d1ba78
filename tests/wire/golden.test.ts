// The shape of an entry kind never changes without its version: old entries must stay readable.
import { createHash } from 'node:crypto'
import { readFile, writeFile } from 'node:fs/promises'
import canonicalize from 'canonicalize'
import { describe, expect, it } from 'vitest'
import { z } from 'zod'
import { entryKinds, entrySchema, isEntryKind } from '#wire/entry.ts'
import type { EntryKind } from '#wire/entry.ts'

/** For each kind its version, and a hash of its JSON schema without descriptions. */
type Golden = Record<string, { v: number; hash: string }>

const file = new URL('./golden.json', import.meta.url)
const kinds = Object.keys(entryKinds).filter(isEntryKind)

const now: Golden = Object.fromEntries(
  kinds.map((kind) => [kind, { v: entryKinds[kind].v, hash: shapeHash(kind) }]),
)
if (process.env.WRITE_GOLDEN === '1') {
  await writeFile(file, `${JSON.stringify(now, null, 2)}\n`)
}
const golden = JSON.parse(await readFile(file, 'utf8')) as Golden

/** Words may change at any time; what is accepted may not. */
function shapeHash(kind: EntryKind): string {
  const schema = JSON.parse(JSON.stringify(z.toJSONSchema(entrySchema(kind))), (name, value) =>
    name === 'description' && typeof value === 'string' ? undefined : (value as unknown),
  ) as unknown
  return createHash('sha256')
    .update(canonicalize(schema) ?? '')
    .digest('hex')
}

const write = 'then write the new list with WRITE_GOLDEN=1 and this test'

describe('the shapes of entries', () => {
  it.each(kinds)('%s has the shape that its version had before', (kind) => {
    const before = golden[kind]
    expect(before, `${kind} is new: ${write}`).toBeDefined()
    const isSame = before?.v === entryKinds[kind].v && before.hash === now[kind]?.hash
    const say = `the shape of ${kind} changed: bump v in its kind so that old entries stay readable`
    expect(isSame, `${say}; ${write}`).toBe(true)
  })

  it('no kind that was ever written is gone', () => {
    const gone = Object.keys(golden).filter((kind) => !isEntryKind(kind))
    expect(gone, 'entries of these kinds can no longer be read').toEqual([])
  })
})
