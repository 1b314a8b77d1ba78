// A take check says of each bud what was seen; a cut makes references and refuses used tags.
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { entryKinds } from '../../../api/wire/entry.ts'
import { canTie, nextBundle } from '../../../scanner/jobs/cut/cut-drafts.ts'
import { likelyHarvestYear, nextReference, phoneMark } from '../../../scanner/jobs/cut/reference.ts'
import { tagUse } from '../../../scanner/jobs/cut/tag-use.ts'
import {
  allSeen,
  anySeen,
  FATES,
  graftsToSee,
  nothingSeen,
  seenAlike,
  seenBud,
  takeDraft,
} from '../../../scanner/jobs/take/take-drafts.ts'
import { moistureProblem, viabilityProblem } from '../../../scanner/jobs/checks/check-drafts.ts'
import { graftOf, uuid } from './invented.ts'

const vine = { rowId: uuid(50), position: 7 }

describe('a look at a vine', () => {
  it('counts each bud once, and never more than were set', () => {
    const taps = fc.array(
      fc.record({ graft: fc.nat(1), bud: fc.nat(2), fate: fc.constantFrom(...FATES) }),
    )
    fc.assert(
      fc.property(taps, fc.option(fc.nat(5000)), (tapped, shoot) => {
        const grafts = [graftOf(1), graftOf(2, { budCount: 3 })]
        let seen = nothingSeen(grafts)
        for (const { graft, bud, fate } of tapped) {
          seen = seenBud(seen, grafts[graft]?.graftId ?? '', bud, fate)
        }
        const draft = takeDraft(vine, seen, shoot, '')
        expect(draft !== null).toBe(anySeen(seen))
        if (draft?.kind !== 'take.checked') return
        expect(entryKinds['take.checked'].body.safeParse(draft.body).success).toBe(true)
        for (const { graftId, growing, callused, failed } of draft.body.results) {
          const set = grafts.find((graft) => graft.graftId === graftId)?.budCount ?? 0
          expect(growing + callused + failed).toBeGreaterThan(0)
          expect(growing + callused + failed).toBeLessThanOrEqual(set)
        }
      }),
    )
  })

  it('one word for a graft stands for all of its buds', () => {
    const [one, two] = [graftOf(1), graftOf(2, { budCount: 1 })]
    const half = seenAlike(nothingSeen([one, two]), one.graftId, 'growing')
    expect(allSeen(half)).toBe(false)
    const both = seenAlike(half, two.graftId, 'failed')
    expect(allSeen(both)).toBe(true)
    expect(takeDraft(vine, both, 140, 'shaded')?.body).toEqual({
      vine,
      results: [
        { graftId: one.graftId, growing: 2, callused: 0, failed: 0 },
        { graftId: two.graftId, growing: 0, callused: 0, failed: 1 },
      ],
      shootLengthMm: 140,
      note: 'shaded',
    })
  })

  it('the same word on the same bud takes it back, and nothing seen is not written', () => {
    const graft = graftOf(1)
    const once = seenBud(nothingSeen([graft]), graft.graftId, 0, 'failed')
    const twice = seenBud(once, graft.graftId, 0, 'failed')
    expect(anySeen(twice)).toBe(false)
    expect(takeDraft(vine, twice, null, '')).toBeNull()
  })

  it('grafts come in the order in which they were made, without those cut off', () => {
    const late = graftOf(1, { graftedAt: '2027-05-02T08:00:00Z' })
    const early = graftOf(2, { graftedAt: '2027-04-02T08:00:00Z' })
    const gone = graftOf(3, { removed: true })
    expect(graftsToSee({ grafts: [late, gone, early] })).toEqual([early, late])
  })
})

describe('the reference of a lot cut in the field', () => {
  it('goes on from the highest of this phone’s own, whatever other lots are called', () => {
    const device = '0190aaaa-bbbb-7ccc-8ddd-00000abcdef0'
    const mark = phoneMark(device)
    expect(mark).toMatch(/^[0-9A-HJKMNP-TV-Z]{4}$/)
    expect(nextReference(2027, device, [])).toBe(`27-${mark}-01`)
    const known = [`27-${mark}-02`, `27-${mark}-11`, `26-${mark}-40`, '27-014', `27-${mark}-x`]
    expect(nextReference(2027, device, known)).toBe(`27-${mark}-12`)
    expect(nextReference(2005, device, [])).toBe(`05-${mark}-01`)
  })

  it('two phones make different ones unless the last twenty bits of their ids agree', () => {
    fc.assert(
      fc.property(fc.uuid(), fc.uuid(), (one, other) => {
        fc.pre(one.slice(-5) !== other.slice(-5))
        expect(nextReference(2027, one, [])).not.toBe(nextReference(2027, other, []))
      }),
    )
  })

  it('wood cut in winter grew the year before', () => {
    expect(likelyHarvestYear(new Date(2027, 1, 3))).toBe(2026)
    expect(likelyHarvestYear(new Date(2027, 11, 3))).toBe(2027)
  })
})

describe('bundles', () => {
  const bundle = { bundleId: uuid(1), code: 'x', sticks: 100 }

  it('the last one gets the rest, and none is tied of nothing', () => {
    expect(nextBundle({ sticks: 250, bundles: [bundle] }, 100)).toBe(100)
    expect(nextBundle({ sticks: 250, bundles: [bundle, bundle] }, 100)).toBe(50)
    expect(canTie({ sticks: 200, bundles: [bundle, bundle] })).toBe(false)
    expect(nextBundle({ sticks: 150, bundles: [bundle, bundle] }, 100)).toBe(0)
  })
})

describe('a tag for new wood', () => {
  const code = '0123456789A'

  it('is taken when it is free, once, and asked about when the phone has no word of it', () => {
    expect(tagUse({ what: 'unbound', code }, [])).toEqual({ use: 'free', code })
    expect(tagUse({ what: 'unknown code', code }, [])).toEqual({ use: 'ask', code })
    expect(tagUse({ what: 'unbound', code }, [code])).toMatchObject({ why: 'twice' })
    expect(tagUse({ what: 'unknown code', code }, [code])).toMatchObject({ why: 'twice' })
    const thing = { kind: 'bundle' as const, id: uuid(1) }
    expect(tagUse({ what: 'thing', code, thing }, [])).toMatchObject({ why: 'bound' })
    expect(tagUse({ what: 'ended', code, spoiled: true }, [])).toMatchObject({ why: 'spoiled' })
    expect(tagUse({ what: 'ended', code, spoiled: false }, [])).toMatchObject({ why: 'ended' })
    const other = { what: 'other nursery' as const, code, host: 'tags.example.org' }
    expect(tagUse(other, [])).toMatchObject({ why: 'other nursery' })
    expect(tagUse({ what: 'foreign', text: 'x' }, [])).toMatchObject({ why: 'no tag' })
    const slip = { what: 'slip' as const, typed: 'x', problem: 'check' as const }
    expect(tagUse(slip, [])).toMatchObject({ why: 'slip' })
  })
})

describe('what cannot be true of a check', () => {
  it('is said: more alive than sampled, dried wood heavier than fresh, over 100 % of fresh', () => {
    expect(viabilityProblem(0, 0)).toBe('none sampled')
    expect(viabilityProblem(10, 11)).toBe('more live')
    expect(viabilityProblem(10, 10)).toBeNull()
    expect(moistureProblem({ by: 'oven', freshGrams: 5, dryGrams: 6 })).toBe('dry heavier')
    expect(moistureProblem({ by: 'oven', freshGrams: 6, dryGrams: 5 })).toBeNull()
    const weighed = { by: 'weighing again' as const, atCutGrams: 5, nowGrams: 6 }
    expect(moistureProblem(weighed)).toBe('now heavier')
    const meter = { by: 'meter' as const, percent: 120 }
    expect(moistureProblem({ ...meter, basis: 'fresh weight' })).toBe('over hundred')
    expect(moistureProblem({ ...meter, basis: 'dry weight' })).toBeNull()
  })
})
