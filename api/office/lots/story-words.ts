// Tells in one sentence what an entry says, seen from the lot whose story is told.
import type { Entry, EntryBody } from '#wire/entry.ts'
import type { AccountShape, WoodShape } from '#wire/basics.ts'
import { formatTagCode } from '#trade/tag-code.ts'
import type { StoryGroup } from '../../lots/story.ts'
import { checkWords } from './check-words.ts'
import { treatmentWords } from './treatment-words.ts'

type Names = ReadonlyMap<string, string>

/** The sentence for one entry of the story of `lotId`. */
export function entryWords(entry: Entry, lotId: string, names: Names): string {
  const name = (id: string) => names.get(id) ?? 'something not registered here'
  const words = lotWords(entry, lotId, names) ?? woodMoved(entry, names) ?? tagWords(entry, names)
  if (words !== null) return words
  switch (entry.kind) {
    case 'hold.placed':
      return noted(
        `Hold placed${entry.body.agent === null ? '' : ` for ${entry.body.agent}`}`,
        entry.body.reason,
      )
    case 'hold.lifted':
      return noted('Hold lifted', entry.body.reason)
    case 'graft.made': {
      const { budCount, method, vine } = entry.body
      const where = `${name(vine.rowId)}, position ${vine.position}`
      return `${count('bud', budCount)} set (${method}) on ${where}`
    }
    case 'graft.removed':
      return noted('A graft removed', entry.body.reason)
    case 'check.viability':
    case 'check.moisture':
      return checkWords(entry, names)
    case 'treatment.done':
      return treatmentWords(entry)
    default:
      return entry.kind.replaceAll(/[._]/g, ' ')
  }
}

/** The sentence for what was done on many vines of a row in a day. */
export function groupWords(group: StoryGroup): string {
  const vines = `${group.vines} ${group.vines === 1 ? 'vine' : 'vines'}`
  const how = group.words.length === 0 ? '' : ` (${group.words.join(', ')})`
  switch (group.what) {
    case 'grafts':
      return `${group.buds} buds set on ${vines}${how}`
    case 'take checks':
      return (
        `${vines} looked at: ${group.growing} buds growing, ${group.callused} still, ` +
        `${group.failed} failed`
      )
    case 'removals':
      return `Grafts removed from ${vines}${how}`
  }
}

function lotWords(entry: Entry, lotId: string, names: Names): string | null {
  const name = (id: string) => names.get(id) ?? 'a lot or source not registered here'
  switch (entry.kind) {
    case 'lot.cut': {
      const { sourceId, sticks, bundles, to, note } = entry.body
      const what = `${count('stick', sticks)}${tied(bundles)}`
      return noted(`Cut from ${name(sourceId)}: ${what}, to ${accountWords(to, names)}`, note)
    }
    case 'lot.received': {
      const { supplierId, sourceId, unit, bundles, to, note } = entry.body
      const origin = `origin ${sourceId === null ? 'unknown' : name(sourceId)}`
      const what = `${count(unit, entry.body.count)}${tied(bundles)}, ${origin}`
      return noted(
        `Received from ${name(supplierId)}: ${what}, to ${accountWords(to, names)}`,
        note,
      )
    }
    case 'lot.split':
      return noted(splitWords(entry.body, lotId, name), entry.body.reason)
    case 'lot.combined':
      return noted(combinedWords(entry.body, lotId, name), entry.body.reason)
    default:
      return null
  }
}

function splitWords(
  body: EntryBody<'lot.split'>,
  lotId: string,
  name: (id: string) => string,
): string {
  const own = body.parts.find((part) => part.lotId === lotId)
  if (own !== undefined) {
    const what = `${count(own.unit, own.count)}${tied(own.bundles)}`
    return `Parted from ${name(body.parentLotId)}: ${what}`
  }
  const parts = body.parts.map((part) => `${count(part.unit, part.count)} became ${part.reference}`)
  return `Split: ${parts.join(', ')}`
}

function combinedWords(
  body: EntryBody<'lot.combined'>,
  lotId: string,
  name: (id: string) => string,
): string {
  const part = (parent: (typeof body.parents)[number]) => count(parent.unit, parent.count)
  if (body.lotId === lotId) {
    const parts = body.parents.map((parent) => `${part(parent)} of ${name(parent.lotId)}`)
    return `Combined of ${parts.join(', ')}${tied(body.bundles)}`
  }
  const own = body.parents.filter((parent) => parent.lotId === lotId)
  return `${own.map(part).join(', ')} became part of ${body.reference}`
}

/** What moved where; null for entries that move nothing of a lot that exists. */
function woodMoved(entry: Entry, names: Names): string | null {
  const name = (id: string) => names.get(id) ?? 'something not registered here'
  switch (entry.kind) {
    case 'stay.began': {
      const { wood, from, placeId } = entry.body
      return `${woodWords(wood, names)} put into ${name(placeId)}${fromWords(from, names)}`
    }
    case 'soak.began': {
      const { wood, from, bathId } = entry.body
      return `${woodWords(wood, names)} into the water, ${name(bathId)}${fromWords(from, names)}`
    }
    case 'soak.ended': {
      const { wood, bathId, to } = entry.body
      const way = `${name(bathId)}, to ${accountWords(to, names)}`
      return `${woodWords(wood, names)} out of the water, ${way}`
    }
    case 'wood.handed_over': {
      const { wood, from, toHolderId, note } = entry.body
      const way = `${name(toHolderId)}${fromWords(from, names)}`
      return noted(`${woodWords(wood, names)} handed over to ${way}`, note)
    }
    case 'wood.accepted':
      return noted(`${woodWords(entry.body.wood, names)} taken over`, entry.body.note)
    case 'wood.returned': {
      const { wood, fromHolderId, placeId, note } = entry.body
      const way = `${name(fromHolderId)} to ${name(placeId)}`
      return noted(`${woodWords(wood, names)} came back from ${way}`, note)
    }
    case 'wood.discarded': {
      const { wood, from, reason } = entry.body
      return noted(`${woodWords(wood, names)} discarded${fromWords(from, names)}`, reason)
    }
    default:
      return null
  }
}

function tagWords(entry: Entry, names: Names): string | null {
  switch (entry.kind) {
    case 'tag.bound': {
      const { code, thing } = entry.body
      return `Tag ${formatTagCode(code)} bound to ${names.get(thing.id) ?? `a ${thing.kind}`}`
    }
    case 'tag.replaced':
      return noted(
        `Tag ${formatTagCode(entry.body.oldCode)} replaced by ` + formatTagCode(entry.body.newCode),
        entry.body.reason,
      )
    case 'tag.spoiled':
      return noted(`Tag ${formatTagCode(entry.body.code)} spoiled`, entry.body.reason)
    default:
      return null
  }
}

function woodWords(wood: WoodShape, names: Names): string {
  const bundle = wood.bundleId === null ? 'loose' : names.get(wood.bundleId)
  const part = bundle?.split(', ').at(-1) ?? 'a bundle'
  return `${count(wood.unit, wood.count)} (${part})`
}

function accountWords(account: AccountShape, names: Names): string {
  return names.get(account.id) ?? 'a place not recorded'
}

function fromWords(account: AccountShape, names: Names): string {
  return account.kind === 'unknown' ? '' : ` from ${accountWords(account, names)}`
}

function count(unit: 'stick' | 'bud', number: number): string {
  return `${number} ${unit}${number === 1 ? '' : 's'}`
}

function tied(bundles: readonly unknown[]): string {
  if (bundles.length === 0) return ''
  return bundles.length === 1 ? ', one bundle tied' : `, ${bundles.length} bundles tied`
}

function noted(sentence: string, note: string): string {
  return note.trim() === '' ? sentence : `${sentence}: ${note}`
}
