// The text that one phone shows and another scans when wood passes from hand to hand.
import { z } from 'zod'
import { EntryId, Id, Wood } from './basics.ts'

/** What a text begins with; the digit is the version of its form. */
const PREFIX = 'CANEMARK-HANDOVER-1'
/** Longest text that is looked at, in characters. */
const TEXT_LIMIT = 200

const Handover = z.strictObject({
  handoverId: EntryId.describe('the entry by which the wood was handed over'),
  toHolderId: Id.nullable()
    .default(null)
    .describe('the crew or person it was handed to; null when the text does not say'),
  wood: Wood,
})
export type Handover = z.infer<typeof Handover>

/**
 * The handover as a text of the QR alphanumeric set (ISO/IEC 18004: capitals, digits, `-` and
 * `:`), so that it fits a small symbol. Ids are written without hyphens; 0 stands for none.
 */
export function handoverText(handover: z.input<typeof Handover>): string {
  const { handoverId, toHolderId = null, wood } = handover
  const unit = wood.unit === 'stick' ? 'S' : 'B'
  const ids = [handoverId, toHolderId, wood.lotId, wood.bundleId].map(bare)
  return [PREFIX, ...ids, unit, String(wood.count)].join(':')
}

/** Reads such a text back, capitals or not; null for any other text. */
export function readHandoverText(text: string): Handover | null {
  if (text.length > TEXT_LIMIT) return null
  const [prefix, handover, holder, lot, bundle, unit, count, ...rest] = text.trim().split(':')
  if (prefix?.toUpperCase() !== PREFIX || rest.length > 0) return null
  const read = Handover.safeParse({
    handoverId: withHyphens(handover),
    toHolderId: withHyphens(holder),
    wood: {
      lotId: withHyphens(lot),
      bundleId: withHyphens(bundle),
      unit: unit?.toUpperCase() === 'S' ? 'stick' : unit?.toUpperCase() === 'B' ? 'bud' : unit,
      count: /^\d{1,7}$/.test(count ?? '') ? Number(count) : count,
    },
  })
  return read.success ? read.data : null
}

function bare(id: string | null): string {
  return id === null ? '0' : id.replaceAll('-', '').toUpperCase()
}

function withHyphens(id = ''): string | null {
  if (id === '0') return null
  const groups = /^(.{8})(.{4})(.{4})(.{4})(.{12})$/.exec(id.toLowerCase())
  return groups === null ? id : groups.slice(1).join('-')
}
