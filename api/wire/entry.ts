// The entry envelope and the closed list of entry kinds.
import { z } from 'zod'
import { EntryId, Id, When } from './basics.ts'
import { Signature } from './sign.ts'
import { checkKinds } from './kinds/checks.ts'
import { climateKinds } from './kinds/climate.ts'
import { custodyKinds } from './kinds/custody.ts'
import { deviceKinds } from './kinds/devices.ts'
import { graftingKinds } from './kinds/grafting.ts'
import { lotKinds } from './kinds/lots.ts'
import { nurseryKinds } from './kinds/nursery.ts'
import { recordKinds } from './kinds/record.ts'
import { sourceKinds } from './kinds/sources.ts'
import { storeKinds } from './kinds/store.ts'
import { tagKinds } from './kinds/tags.ts'
import { treatmentKinds } from './kinds/treatments.ts'

/** Every kind of entry with its version and body. */
export const entryKinds = {
  ...nurseryKinds,
  ...sourceKinds,
  ...lotKinds,
  ...tagKinds,
  ...storeKinds,
  ...climateKinds,
  ...custodyKinds,
  ...graftingKinds,
  ...checkKinds,
  ...treatmentKinds,
  ...recordKinds,
  ...deviceKinds,
} as const

export type EntryKind = keyof typeof entryKinds
export type EntryBody<K extends EntryKind> = z.infer<(typeof entryKinds)[K]['body']>

/** What every entry carries besides its body. */
export const envelope = {
  id: EntryId,
  occurredAt: When,
  device: Id,
  deviceCounter: z.int().min(1),
  person: Id,
  signature: Signature.optional(),
} as const

/** The envelope alone, body unread: tells which kind and version to read the body as. */
export const Envelope = z.strictObject({
  ...envelope,
  kind: z.string().max(60),
  v: z.int().min(1).max(1000),
  body: z.record(z.string(), z.unknown()),
})

/** One entry of kind K, read and trusted. */
export type Entry<K extends EntryKind = EntryKind> = {
  [P in K]: {
    id: string
    kind: P
    v: (typeof entryKinds)[P]['v']
    occurredAt: string
    device: string
    deviceCounter: number
    person: string
    body: EntryBody<P>
    signature?: string | undefined
  }
}[K]

/** Is this the name of a kind that we know? */
export function isEntryKind(kind: string): kind is EntryKind {
  return Object.hasOwn(entryKinds, kind)
}

const built = new Map<EntryKind, EntrySchema>()

/** The full schema of one kind: envelope and body, strict. Built once, for building is slow. */
export function entrySchema(kind: EntryKind): EntrySchema {
  const before = built.get(kind)
  if (before !== undefined) return before
  const { v, body } = entryKinds[kind]
  const schema = z.strictObject({ ...envelope, kind: z.literal(kind), v: z.literal(v), body })
  built.set(kind, schema)
  return schema
}

type EntrySchema = z.ZodObject<
  typeof envelope & {
    kind: z.ZodLiteral<EntryKind>
    v: z.ZodLiteral<1>
    body: (typeof entryKinds)[EntryKind]['body']
  }
>

/** Every entry there is, told apart by `kind`; for the API document. */
export const AnyEntry = z.discriminatedUnion(
  'kind',
  Object.keys(entryKinds)
    .filter(isEntryKind)
    .map((kind) => entrySchema(kind)) as [EntrySchema],
)
