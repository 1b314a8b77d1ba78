// What one phone writes in a day, by its number: grafts, skips, checks, a withdrawal now and then.
import type { Draft } from '../../scanner/phone.ts'
import { idOf, seeded } from './entry-writer.ts'

/** Drafts of a phone, the same for the same seed and number; withdrawals name earlier ones. */
export type Work = Draft | { readonly withdraw: number }

/** `count` pieces of work; phones share rows and lots, so that their facts meet. */
export function workOfADay(seed: number, nr: number, count: number): Work[] {
  const random = seeded(seed + nr * 7)
  const work: Work[] = []
  for (let at = 0; at < count; at += 1) {
    const vine = { rowId: idOf(`row ${nr % 7}`), position: 1 + ((nr * 31 + at) % 400) }
    const toss = random()
    if (toss < 0.08 && at > 3) work.push({ withdraw: Math.floor(random() * at) })
    else if (toss < 0.2) work.push({ kind: 'vine.skipped', body: skip(vine) })
    else if (toss < 0.25) work.push({ kind: 'tool.disinfected', body: knife(nr) })
    else work.push({ kind: 'graft.made', body: graft(vine, nr, random() < 0.8 ? 2 : 1) })
  }
  return work
}

type Vine = { rowId: string; position: number }

const skip = (vine: Vine) => ({ vine, reason: 'the trunk is dead' })

const knife = (nr: number) => ({
  knifeId: idOf(`knife ${nr}`),
  disinfectant: 'ethanol 70 %',
  vine: null,
  note: '',
})

const graft = (vine: Vine, nr: number, budCount: number) => ({
  vine,
  lotId: idOf(`lot ${nr % 5}`),
  bundleId: null,
  from: { kind: 'holder' as const, id: idOf(`crew ${nr % 9}`) },
  method: 'chip bud',
  budCount,
  knifeId: idOf(`knife ${nr}`),
  tie: null,
  note: '',
})
