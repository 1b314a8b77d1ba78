// Every entry that a job makes can be taken in, and says exactly what the person chose.
import fc from 'fast-check'
import { v7 } from 'uuid'
import { describe, expect, it } from 'vitest'
import { isTagCode, makeTagCode } from '../../../api/trade/tag-code.ts'
import { entryKinds } from '../../../api/wire/entry.ts'
import type { Draft } from '../../../scanner/phone.ts'
import { moistureDraft, viabilityDraft } from '../../../scanner/jobs/checks/check-drafts.ts'
import { budsPerStick, cutDrafts, looseSticks } from '../../../scanner/jobs/cut/cut-drafts.ts'
import {
  disinfectDraft,
  graftDraft,
  skipDraft,
  tieDraft,
  undoDraft,
} from '../../../scanner/jobs/graft/graft-drafts.ts'
import {
  acceptDraft,
  bathInDrafts,
  bathOutDrafts,
  discardDrafts,
  emptyDraft,
  fillDraft,
  handOverDrafts,
  moveDrafts,
} from '../../../scanner/jobs/wood/wood-drafts.ts'
import type { Portion } from '../../../scanner/jobs/wood/wood-drafts.ts'

const id = fc.uuid({ version: 4 })
const entryId = fc.nat().map(() => v7())
const account = fc.record({
  kind: fc.constantFrom('place' as const, 'bath' as const, 'holder' as const, 'unknown' as const),
  id,
})
const portion: fc.Arbitrary<Portion> = fc
  .record({
    lotId: id,
    bundleId: fc.option(id),
    from: account,
    sticks: fc.integer({ min: 0, max: 500 }),
    buds: fc.integer({ min: 0, max: 500 }),
  })
  .filter(({ sticks, buds }) => sticks + buds > 0)
const portions = fc.array(portion, { minLength: 1, maxLength: 5 })
const vine = fc.record({ rowId: id, position: fc.integer({ min: 1, max: 2000 }) })
const code = fc.uint8Array({ minLength: 7, maxLength: 7 }).map((bytes) => {
  let turn = 0
  return makeTagCode(() => bytes.map((byte) => (byte + turn++) & 255))
})

function expectSound(drafts: readonly Draft[]): void {
  for (const { kind, body } of drafts) {
    const read = entryKinds[kind].body.safeParse(body)
    expect(read.success ? [] : [kind, read.error.issues]).toEqual([])
  }
}

/** Pieces by unit, summed over the wood that each entry of these kinds speaks of. */
function pieces(drafts: readonly Draft[], kinds: readonly string[]) {
  const sum = { stick: 0, bud: 0 }
  for (const { kind, body } of drafts) {
    if (kinds.includes(kind) && 'wood' in body) sum[body.wood.unit] += body.wood.count
  }
  return sum
}

function whole(chosen: readonly Portion[]) {
  return {
    stick: chosen.reduce((sum, one) => sum + one.sticks, 0),
    bud: chosen.reduce((sum, one) => sum + one.buds, 0),
  }
}

describe('wood that is moved, soaked, handed over or thrown away', () => {
  it('every piece chosen is written once, whatever it lay in', () => {
    fc.assert(
      fc.property(portions, id, id, (chosen, target, hand) => {
        const moves = moveDrafts(chosen, target)
        expectSound(moves)
        expect(pieces(moves, ['stay.began', 'wood.returned', 'soak.ended'])).toEqual(whole(chosen))
        const soaks = bathInDrafts(chosen, target)
        expectSound(soaks)
        expect(pieces(soaks, ['soak.began'])).toEqual(whole(chosen))
        const given = handOverDrafts(chosen, target, hand, '')
        expectSound(given)
        expect(pieces(given, ['wood.handed_over'])).toEqual(whole(chosen))
        const thrown = discardDrafts(chosen, 'dry', hand)
        expectSound(thrown)
        expect(pieces(thrown, ['wood.discarded'])).toEqual(whole(chosen))
      }),
    )
  })

  it('wood in a bath is lifted before it goes anywhere else, so that its soak has an end', () => {
    fc.assert(
      fc.property(portions, id, id, (chosen, target, hand) => {
        const soaking = chosen.map((one) => ({ ...one, from: { kind: 'bath' as const, id: hand } }))
        for (const drafts of [
          moveDrafts(soaking, target),
          bathOutDrafts(soaking, { kind: 'place', id: target }),
          handOverDrafts(soaking, target, hand, ''),
          discardDrafts(soaking, 'dry', hand),
        ]) {
          expectSound(drafts)
          expect(pieces(drafts, ['soak.ended'])).toEqual(whole(soaking))
          expect(drafts[0]?.kind).toBe('soak.ended')
        }
      }),
    )
  })

  it('a bath filled, emptied and a handover taken over are sound entries', () => {
    const temp = fc.option(fc.double({ min: -5, max: 70, noNaN: true }))
    const litres = fc.option(fc.integer({ min: 1, max: 100_000 }))
    fc.assert(
      fc.property(id, id, temp, litres, entryId, portion, (bathId, placeId, t, l, given, some) => {
        const bath = { bathId, placeId, water: 'well', disinfectant: null }
        expectSound([fillDraft({ ...bath, waterTempC: t, litres: l }), emptyDraft(bathId)])
        const wood = { lotId: some.lotId, bundleId: some.bundleId, unit: 'stick' as const }
        expectSound([acceptDraft(given, { ...wood, count: Math.max(1, some.sticks) }, '')])
      }),
    )
  })
})

describe('work at the vine', () => {
  it('a graft, a skip, a blade, a tie and a slip taken back are sound entries', () => {
    const wood = fc.record({
      lotId: id,
      bundleId: fc.option(id),
      from: account,
      method: fc.constantFrom('chip bud', 'T-bud'),
      tie: fc.option(fc.constantFrom('rubber strip')),
    })
    const buds = fc.integer({ min: 1, max: 20 })
    fc.assert(
      fc.property(wood, vine, buds, fc.option(id), entryId, (lot, at, count, knife, slip) => {
        const graft = graftDraft(lot, at, count, knife)
        expectSound([
          graft,
          skipDraft(at, 'too thin'),
          disinfectDraft(knife, null, at),
          tieDraft(at, knife),
          undoDraft(slip, 'wrong vine'),
        ])
        expect(graft.body).toMatchObject({ ...lot, vine: at, budCount: count, knifeId: knife })
      }),
    )
  })
})

describe('a cut', () => {
  const sample = fc.array(fc.integer({ min: 0, max: 30 }), { minLength: 1, maxLength: 10 })

  it('makes one lot with its bundles, then binds each tag to its own bundle', () => {
    const tied = fc.uniqueArray(
      fc.record({ bundleId: id, code, sticks: fc.integer({ min: 1, max: 200 }) }),
      { selector: (bundle) => bundle.code, maxLength: 20 },
    )
    fc.assert(
      fc.property(tied, sample, id, account, (bundles, counted, sourceId, to) => {
        const cut = {
          lotId: v7(),
          reference: '27-7KQF-01',
          material: 'scion wood' as const,
          harvestYear: 2026,
          sticks: 1 + bundles.reduce((sum, bundle) => sum + bundle.sticks, 0),
          sample: counted,
          bundles,
          lotCode: null,
          to,
          note: '',
        }
        const from = { sourceId, varietyId: sourceId, clone: null, scheme: null, className: null }
        const [lot, ...bound] = cutDrafts(cut, from)
        expectSound([...(lot === undefined ? [] : [lot]), ...bound])
        expect(lot?.kind).toBe('lot.cut')
        expect(bound.map((draft) => draft.body)).toEqual(
          bundles.map((bundle) => ({
            code: bundle.code,
            thing: { kind: 'bundle', id: bundle.bundleId },
          })),
        )
        expect(looseSticks(cut)).toBe(1)
        expect(bundles.every((bundle) => isTagCode(bundle.code))).toBe(true)
      }),
    )
  })

  it('buds on a stick are the mean of the sample, rounded down', () => {
    expect(budsPerStick([])).toBe(0)
    expect(budsPerStick([6, 7, 6])).toBe(6)
    expect(budsPerStick([7, 7, 6])).toBe(6)
    expect(budsPerStick([8])).toBe(8)
    fc.assert(
      fc.property(sample, (counted) => {
        const mean = budsPerStick(counted)
        expect(mean * counted.length).toBeLessThanOrEqual(counted.reduce((a, b) => a + b, 0))
        expect(mean).toBeLessThanOrEqual(Math.max(...counted))
        expect(mean).toBeGreaterThanOrEqual(Math.min(...counted))
      }),
    )
  })
})

describe('a check of wood', () => {
  it('keeps what was sampled, what lived and what was used up', () => {
    const used = fc.option(
      fc.record({ unit: fc.constantFrom('stick' as const, 'bud' as const), count: fc.nat(99) }),
    )
    const method = fc.constantFrom('cut bud' as const, 'forcing test' as const)
    fc.assert(
      fc.property(portion, used, method, fc.integer({ min: 1, max: 500 }), (some, part, how, n) => {
        const sound = part === null || part.count === 0 ? null : part
        const sample = { ...some, used: sound, note: '' }
        const seen = { method: how, sampledCount: n, liveCount: n - 1, forcedDays: 12 }
        const viability = viabilityDraft(sample, seen)
        expectSound([
          viability,
          moistureDraft(sample, { by: 'oven', freshGrams: 12.5, dryGrams: 6.1 }),
          moistureDraft(sample, { by: 'meter', percent: 48, basis: 'fresh weight' }),
          moistureDraft(sample, { by: 'weighing again', atCutGrams: 100, nowGrams: 92 }),
        ])
        expect(viability.body).toMatchObject({ forcedDays: how === 'forcing test' ? 12 : null })
      }),
    )
  })
})
