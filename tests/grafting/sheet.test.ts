// A sheet's stretch is worked out so that every place is grafted or passed over, once.
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { readPositionWords } from '../../api/grafting/position-words.ts'
import { sheetVines } from '../../api/grafting/sheet.ts'
import { lifeAt, vineLives } from '../../api/grafting/vine-lives.ts'
import type { VineChange } from '../../api/grafting/vine-lives.ts'

describe('the vines of a sheet', () => {
  const stretches = fc
    .record({
      places: fc.integer({ min: 1, max: 80 }),
      ends: fc.tuple(
        fc.double({ noNaN: true, min: 0, max: 1 }),
        fc.double({ noNaN: true, min: 0, max: 1 }),
      ),
      countedFrom: fc.constantFrom('head' as const, 'far' as const),
      skip: fc.func(fc.boolean()),
    })
    .map(({ places, ends, countedFrom, skip }) => {
      const at = (share: number) => 1 + Math.floor(Math.abs(share) * (places - 1))
      const [from, to] = [at(ends[0]), at(ends[1])]
      const inside = Array.from(
        { length: Math.abs(to - from) + 1 },
        (_, nr) => Math.min(from, to) + nr,
      )
      const skipped = inside.filter((position) => skip(position))
      return { places, from, to, countedFrom, inside, skipped }
    })

  it('are each place of the stretch once, whatever the direction and the end', () => {
    fc.assert(
      fc.property(stretches, ({ places, from, to, countedFrom, inside, skipped }) => {
        fc.pre(skipped.length < inside.length)
        const { vines, problems } = sheetVines(
          { label: '1', position_count: places },
          {
            fromPosition: from,
            toPosition: to,
            countedFrom,
            skipped: skipped.map((position) => `${position} thin`).join('; '),
          },
        )
        expect(problems).toEqual([])
        const head = (position: number) =>
          countedFrom === 'head' ? position : places + 1 - position
        const all = [...(vines?.grafted ?? []), ...(vines?.skipped ?? []).map((s) => s.position)]
        const sorted = (list: number[]) => [...list].sort((one, other) => one - other)
        expect(sorted(all)).toEqual(sorted(inside.map(head)))
        expect(sorted((vines?.skipped ?? []).map((s) => s.position))).toEqual(
          sorted(skipped.map(head)),
        )
        const first = inside.find((position) => position === from && !skipped.includes(position))
        if (first !== undefined) expect(vines?.grafted[0]).toBe(head(first))
      }),
    )
  })
})

describe('positions with words', () => {
  it('are read with ranges, any dash, line breaks and marks after the position', () => {
    const read = readPositionWords('4: too thin\n6–8 missing;20 to 22, 30 no sap', 'x')
    expect(read).toEqual({
      ok: true,
      parts: [
        { positions: [4], words: 'too thin' },
        { positions: [6, 7, 8], words: 'missing' },
        { positions: [20, 21, 22, 30], words: 'no sap' },
      ],
    })
    expect(readPositionWords('  ', 'x')).toEqual({ ok: true, parts: [] })
  })

  it('do not lose a word that begins with the word of a range', () => {
    expect(readPositionWords('4 tools broke', 'x')).toEqual({
      ok: true,
      parts: [{ positions: [4], words: 'tools broke' }],
    })
  })
})

describe('the lives of a position', () => {
  const changes = fc.array(
    fc.record({
      entryId: fc.uuid(),
      what: fc.constantFrom('planted' as const, 'removed' as const),
      at: fc.integer({ min: 0, max: 50 }),
      plantedYear: fc.constant(null),
      reason: fc.constant(''),
    }),
    { maxLength: 8 },
  )

  it('follow each other without overlap, whatever the order in which entries arrive', () => {
    fc.assert(
      fc.property(changes, fc.option(fc.integer({ min: 0, max: 60 })), (list, seenAt) => {
        const lives = vineLives(list, seenAt)
        expect(vineLives([...list].reverse(), seenAt)).toEqual(lives)
        expect(lives[0]?.beganAt).toBeNull()
        for (const [nr, life] of lives.entries()) {
          const next = lives[nr + 1]
          if (next === undefined) continue
          expect(life.endedAt).not.toBeNull()
          expect(life.endedAt ?? 0).toBeLessThanOrEqual(next.beganAt ?? 0)
        }
      }),
    )
  })

  it('hold a graft made at the very time of planting for the new vine', () => {
    const planted: VineChange = {
      entryId: 'a',
      what: 'planted',
      at: 10,
      plantedYear: 2027,
      reason: '',
    }
    const lives = vineLives([planted], null)
    expect([9, 10, 11].map((at) => lifeAt(lives, at))).toEqual([0, 1, 1])
  })
})
