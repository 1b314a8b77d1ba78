// Invariant 8: a lot is never judged ready while a hold stands on anything that reaches it.
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { freshDatabase } from '../database.ts'
import type { TestDatabase } from '../database.ts'
import { factsOf, judgementOf, sent } from './facts-of.ts'
import { send } from './small-season.ts'
import type { SmallSeason } from './small-season.ts'

let database: TestDatabase
beforeAll(async () => {
  database = await freshDatabase()
})
afterAll(() => database.drop())

const virus = 'GLRaV-3'
const fungus = 'esca'
const mould = 'Botrytis'

type Held = ['lot' | 'source' | 'bath' | 'place', string]

/** A ready lot with ancestors of every sort, in contact with another lot by water and by blade. */
function connected(small: SmallSeason): void {
  small.place('hall', { cooled: false })
  small.place('room', { insidePlaceId: small.id('hall') })
  small.cut('old lot')
  small.source('block', { originLotId: small.id('old lot') })
  small.source('source', { level: 'vine', parentSourceId: small.id('block') })
  small.source('other source')
  small.cut('other', { sourceId: small.id('other source') })
  small.place('tank', { placeKind: 'tank', cooled: false })
  small.bath('bath')
  small.cut('whole')
  small.split('whole', 'lot', {
    parts: [
      {
        lotId: small.id('lot'),
        reference: `${small.id('lot').slice(0, 8)}`,
        unit: 'stick',
        count: 50,
        bundles: [],
      },
    ],
  })
  small.wait(24)
  small.soak('lot', 50, 'bath')
  small.soak('other', 20, 'bath')
  small.wait(30)
  small.liftOut('lot', 50, 'bath')
  small.source('third source')
  small.cut('later', { sourceId: small.id('third source') })
  small.soak('later', 20, 'bath')
  small.cut('blunt', { sourceId: small.id('third source') })
  small.graft('blunt', 1, { knifeId: small.id('knife') })
  small.graft('lot', 2, { knifeId: small.id('knife') })
  small.graft('later', 3, { knifeId: small.id('knife') })
}

async function heldBy(label: string, held: Held, agent: string | null) {
  const small = await sent(database, `${label} ${held.join(' ')} ${agent}`, connected)
  const before = await judgementOf(database, small, 'lot')
  expect(before.verdict).toBe('ready')
  small.hold(held[0], held[1], agent)
  await send(database.app.db, small.entries.slice(-1))
  const judged = await judgementOf(database, small, 'lot')
  const facts = await factsOf(database, small, 'lot')
  small.lift(held[1])
  await send(database.app.db, small.entries.slice(-1))
  expect((await judgementOf(database, small, 'lot')).verdict).toBe('ready')
  return { verdict: judged.verdict, holds: facts.holds }
}

describe('invariant 8: a hold that reaches a lot stops it until it is lifted', () => {
  it.each<[Held, string | null, string, string | null]>([
    [['lot', 'lot'], virus, 'lot', null],
    [['lot', 'whole'], virus, 'parent_lot', null],
    [['source', 'source'], virus, 'source', null],
    [['source', 'block'], virus, 'source', null],
    [['lot', 'old lot'], virus, 'parent_lot', null],
    [['bath', 'bath'], fungus, 'contact', 'water'],
    [['place', 'tank'], fungus, 'contact', 'water'],
    [['place', 'room'], mould, 'contact', 'place'],
    [['place', 'hall'], mould, 'contact', 'place'],
    [['lot', 'other'], fungus, 'contact', 'water'],
    [['source', 'other source'], fungus, 'contact', 'water'],
    [['lot', 'blunt'], 'viroids', 'contact', 'blade'],
    [['lot', 'other'], null, 'contact', 'water'],
    [['place', 'room'], null, 'contact', 'place'],
    [['lot', 'other'], 'an agent nobody listed', 'contact', 'water'],
  ])('on %j for %s as %s by %s', async (held, agent, relation, route) => {
    const { verdict, holds } = await heldBy('reaches', held, agent)
    expect(verdict).toBe('stop')
    expect(holds).toMatchObject([{ relation, route, agentId: agent }])
  })

  it.each<[Held, string | null]>([
    [['bath', 'bath'], virus],
    [['lot', 'other'], virus],
    [['source', 'other source'], virus],
    [['lot', 'blunt'], virus],
    [['place', 'room'], fungus],
    [['lot', 'later'], fungus],
    [['lot', 'later'], null],
  ])('but %j for %s does not reach it', async (held, agent) => {
    const { verdict, holds } = await heldBy('spares', held, agent)
    expect(verdict).toBe('ready')
    expect(holds).toEqual([])
  })
})

describe('what a parent touched', () => {
  it('reaches the part only when it was touched before the part was taken', async () => {
    const small = await sent(database, 'before and after', (season) => {
      season.bath('early')
      season.bath('late')
      season.cut('whole')
      season.soak('whole', 10, 'early')
      season.liftOut('whole', 10, 'early')
      season.split('whole', 'part')
      season.soak('whole', 10, 'late')
      season.hold('bath', 'early')
      season.hold('bath', 'late')
    })
    const subjects = async (lot: string) =>
      (await factsOf(database, small, lot)).holds.map((hold) => hold.subjectId).sort()
    expect(await subjects('part')).toEqual([small.id('early')])
    expect(await subjects('whole')).toEqual([small.id('early'), small.id('late')].sort())
  })

  it('reaches every lot it was combined into, and ends in a circle of bad entries', async () => {
    const small = await sent(database, 'circle', (season) => {
      season.cut('one')
      season.cut('two')
      season.combine('both', ['one', 'two'])
      season.combine('one', ['both', 'two'])
      season.hold('lot', 'two', virus)
    })
    for (const lot of ['one', 'both']) {
      expect((await factsOf(database, small, lot)).holds).toMatchObject([
        { relation: 'parent_lot', subjectId: small.id('two') },
      ])
    }
  })
})

it('a knife carries from held wood only until it has had a day to be cleaned', async () => {
  const small = await sent(database, 'next week', (season) => {
    season.cut('lot')
    season.cut('blunt')
    season.graft('blunt', 1, { knifeId: season.id('knife') })
    season.wait(25)
    season.graft('lot', 2, { knifeId: season.id('knife') })
    season.hold('lot', 'blunt', 'viroids')
  })
  expect((await factsOf(database, small, 'lot')).holds).toEqual([])
})
