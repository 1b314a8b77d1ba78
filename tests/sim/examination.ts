// Random entries about samples, blades, ties and wood taken over, for the random seasons.
import type { EntryBody } from '#wire/entry.ts'

type Kind =
  'check.viability' | 'check.moisture' | 'tool.disinfected' | 'tie.released' | 'wood.accepted'
type Examination = { [K in Kind]: { kind: K; body: EntryBody<K> } }[Kind]

/** What there is to examine in a season so far. */
export type Examined = {
  lotId: string
  room: string
  knifeId: string
  graft: { id: string; rowId: string; position: number } | null
  handover: { id: string; lotId: string } | null
}

/** One random entry about what is given. */
export function examination(random: () => number, given: Examined): Examination {
  const { lotId, room, knifeId, graft, handover } = given
  const whole = (most: number) => Math.floor(random() * most) + 1
  const sample = { lotId, bundleId: null, note: '' }
  const vine = graft === null ? null : { rowId: graft.rowId, position: graft.position }
  const used = {
    unit: 'bud' as const,
    count: whole(20),
    from: { kind: 'place' as const, id: room },
  }
  const way = whole(5)
  if (way === 1) {
    return {
      kind: 'check.viability',
      body: {
        ...sample,
        used: random() < 0.5 ? used : null,
        method: 'cut bud',
        sampledCount: 20,
        liveCount: whole(20),
        forcedDays: null,
      },
    }
  }
  if (way === 2) {
    const measured = { by: 'oven' as const, freshGrams: 100 + whole(50), dryGrams: 40 + whole(50) }
    return { kind: 'check.moisture', body: { ...sample, used: null, measured } }
  }
  if (way === 3 && vine !== null && graft !== null) {
    const graftId = random() < 0.5 ? graft.id : null
    return { kind: 'tie.released', body: { vine, graftId, note: '' } }
  }
  if (way === 4 && handover !== null) {
    const { id: handoverId, lotId: handed } = handover
    const wood = { lotId: handed, bundleId: null, unit: 'stick' as const, count: whole(10) }
    return { kind: 'wood.accepted', body: { handoverId, wood, note: '' } }
  }
  const disinfectant = random() < 0.5 ? 'alcohol' : null
  return { kind: 'tool.disinfected', body: { knifeId, disinfectant, vine, note: '' } }
}
