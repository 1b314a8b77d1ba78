// What the desk refuses about tags before anything is recorded.
import { sql } from 'kysely'
import { formatTagCode, parseTagInput, tagProblemText } from '#trade/tag-code.ts'
import type { Database } from '../../db/connect.ts'
import { readTag } from './read-tags.ts'
import type { TagDetail } from './read-tags.ts'

/** A tag that can be used, or a sentence that says why not and what to do. */
export type TagCheck = { ok: true; code: string; tag: TagDetail } | { ok: false; message: string }

/** A code that was printed here and is not bound or ended. */
export async function checkFreeTag(db: Database, typed: string): Promise<TagCheck> {
  const known = await checkKnownTag(db, typed)
  if (!known.ok) return known
  const shown = formatTagCode(known.code)
  const { tag } = known
  if (tag.ended_how !== null) {
    const message = `${shown} was ${tag.ended_how}; its code is never used again: take another`
    return { ok: false, message }
  }
  if (tag.thing_kind !== null) {
    const on = tagThingWords(tag)
    return { ok: false, message: `${shown} is on ${on} already: take another tag` }
  }
  return known
}

/** A code that is bound to something and not ended. */
export async function checkBoundTag(db: Database, typed: string): Promise<TagCheck> {
  const known = await checkKnownTag(db, typed)
  if (!known.ok) return known
  if (known.tag.thing_kind === null) {
    return { ok: false, message: `${formatTagCode(known.code)} is not on anything` }
  }
  if (known.tag.ended_how !== null) {
    const message = `${formatTagCode(known.code)} was ${known.tag.ended_how} already`
    return { ok: false, message }
  }
  return known
}

/** A code that this nursery printed or used. */
export async function checkKnownTag(db: Database, typed: string): Promise<TagCheck> {
  const input = parseTagInput(typed)
  if (!input.ok) return { ok: false, message: tagProblemText(input) }
  const tag = await readTag(db, input.code)
  if (tag === null) {
    const shown = formatTagCode(input.code)
    return { ok: false, message: `${shown} was not printed here: is it another nursery’s tag?` }
  }
  return { ok: true, code: input.code, tag }
}

/** What a tag is on, in words. */
export function tagThingWords(tag: TagDetail): string {
  if (tag.lot_reference !== null) {
    const bundle = tag.bundle_number === null ? '' : `, bundle ${tag.bundle_number}`
    return `lot ${tag.lot_reference}${bundle}`
  }
  return tag.thing_name ?? `a ${tag.thing_kind}`
}

/** Something that a tag can be put on, as a choice in a form. */
export type Taggable = {
  kind: 'lot' | 'bundle' | 'place' | 'row' | 'source'
  id: string
  label: string
}

const choiceLimit = 500

/** Bundles and lots without a standing tag, places, sources and rows: what can be tagged now. */
export async function listTaggable(db: Database): Promise<Taggable[]> {
  const rows = await sql<Taggable>`
    with tagged as (select thing_id from tag_now where ended_at is null)
    (select 'bundle' as kind, u.bundle_id as id,
      'bundle ' || u.number || ' of lot ' || l.reference as label, l.occurred_at as at
    from bundle_first u join lot_first l on l.lot_id = u.lot_id
    where u.bundle_id not in (select thing_id from tagged)
    order by at desc limit ${choiceLimit})
    union all
    (select 'lot', l.lot_id, 'lot ' || l.reference, l.occurred_at from lot_first l
    where l.lot_id not in (select thing_id from tagged)
    order by l.occurred_at desc limit ${choiceLimit})
    union all
    (select 'place', p.place_id, 'place ' || p.name, null from place_now p
    where p.place_id not in (select thing_id from tagged) order by p.name limit ${choiceLimit})
    union all
    (select 'source', s.source_id, 'source ' || s.name, null from source_now s
    where s.source_id not in (select thing_id from tagged) order by s.name limit ${choiceLimit})
    union all
    (select 'row', r.row_id, b.name || ', row ' || r.label, null
    from block_row_now r join block_now b on b.block_id = r.block_id
    where r.row_id not in (select thing_id from tagged)
    order by b.name, r.sequence limit ${choiceLimit})`.execute(db)
  return rows.rows
}
