// Which wood the tags name that a person scanned or typed into a form.
import { formatTagCode, parseTagInput, tagProblemText } from '#trade/tag-code.ts'
import type { Database } from '../../db/connect.ts'

/** Wood that a tag stands for: a bundle, or a whole lot. */
export type TaggedWood = { code: string; lotId: string; bundleId: string | null; what: string }

export type TagReading = { tagged: TaggedWood[]; problems: string[] }

/** Most tags that one form takes. */
export const TAG_LINE_LIMIT = 200

/**
 * Reads one tag a line (code, grouped code or address). Each line that names no wood gives one
 * problem saying which line, what it is and what to do.
 */
export async function readWoodTags(db: Database, typed: string): Promise<TagReading> {
  const lines = typed
    .split(/[\n,;]+/)
    .map((line) => line.trim())
    .filter((line) => line !== '')
  const problems: string[] = []
  if (lines.length > TAG_LINE_LIMIT) {
    return { tagged: [], problems: [`at most ${TAG_LINE_LIMIT} tags at a time; save in parts`] }
  }
  const codes: string[] = []
  for (const line of lines) {
    const read = parseTagInput(line)
    if (read.ok) codes.push(read.code)
    else problems.push(`“${line.slice(0, 40)}”: ${tagProblemText(read)}`)
  }
  const bound = await readBound(db, codes)
  const tagged: TaggedWood[] = []
  for (const code of new Set(codes)) {
    const wood = bound.get(code)
    if (typeof wood === 'object') tagged.push(wood)
    else problems.push(wood ?? `tag ${formatTagCode(code)} is not bound to anything yet: bind it`)
  }
  return { tagged, problems }
}

async function readBound(db: Database, codes: string[]): Promise<Map<string, TaggedWood | string>> {
  const bound = new Map<string, TaggedWood | string>()
  if (codes.length === 0) return bound
  const tags = await db.selectFrom('tag_now').selectAll().where('code', 'in', codes).execute()
  const bundles = await readBundles(
    db,
    tags.filter((tag) => tag.thing_kind === 'bundle').map((tag) => tag.thing_id),
  )
  for (const tag of tags) {
    const shown = formatTagCode(tag.code)
    const bundle = bundles.get(tag.thing_id)
    if (tag.ended_how !== null) {
      bound.set(tag.code, `tag ${shown} was ${tag.ended_how}: use the tag that hangs there now`)
    } else if (bundle !== undefined) {
      bound.set(tag.code, { code: tag.code, ...bundle })
    } else if (tag.thing_kind === 'lot') {
      const lot = { lotId: tag.thing_id, bundleId: null, what: 'a whole lot' }
      bound.set(tag.code, { code: tag.code, ...lot })
    } else {
      bound.set(tag.code, `tag ${shown} is on a ${tag.thing_kind}, not on wood`)
    }
  }
  return bound
}

async function readBundles(db: Database, bundleIds: string[]) {
  if (bundleIds.length === 0) return new Map<string, Omit<TaggedWood, 'code'>>()
  const rows = await db
    .selectFrom('bundle_first as b')
    .leftJoin('lot_first as l', 'l.lot_id', 'b.lot_id')
    .select(['b.bundle_id', 'b.lot_id', 'b.number', 'l.reference'])
    .where('b.bundle_id', 'in', bundleIds)
    .execute()
  return new Map(
    rows.map((row) => [
      row.bundle_id,
      {
        lotId: row.lot_id,
        bundleId: row.bundle_id,
        what: `bundle ${row.number} of ${row.reference ?? 'a lot not registered here'}`,
      },
    ]),
  )
}
