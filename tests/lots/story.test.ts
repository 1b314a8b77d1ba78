// A lot's story tells everything that was recorded of it, and its detail adds up.
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { readLotDetail } from '../../api/lots/lot-detail.ts'
import { readStory, STORY_PAGE } from '../../api/lots/story.ts'
import type { StoryEvent } from '../../api/lots/story.ts'
import { freshDatabase } from '../database.ts'
import type { TestDatabase } from '../database.ts'
import { idOf } from '../sim/entry-writer.ts'
import { send, SmallSeason } from './small-season.ts'

let database: TestDatabase
beforeAll(async () => {
  database = await freshDatabase()
})
afterAll(() => database.drop())

const told = (events: StoryEvent[]) =>
  events.map((event) => {
    if (event.what !== 'entry') return `${event.count} ${event.what} on ${event.vines} vines`
    return `${event.entry.kind}${event.withdrawn === null ? '' : ' (withdrawn)'}`
  })

/** A lot cut in two bundles, tagged, held, handed over, grafted on two days, checked, split. */
async function season(label: string) {
  const small = new SmallSeason(label)
  const bundle = (name: string) => ({ bundleId: small.id(name), unit: 'stick' as const, count: 20 })
  small.place('room')
  small.source('source')
  small.row('row')
  const cut = small.cut('lot', { bundles: [bundle('one'), bundle('two')] })
  const code = `0000000${String(label.length).padStart(3, '0')}0`
  small.add('tag.bound', { code, thing: { kind: 'bundle', id: small.id('one') } })
  small.hold('lot', 'lot')
  small.lift('lot')
  small.handOver('lot', 20, 'one')
  const wrong = small.add('wood.discarded', {
    wood: small.sticks('lot', 5),
    from: { kind: 'place', id: small.id('room') },
    reason: 'mould',
  })
  const grafts = [1, 2, 2].map((position) => small.graft('lot', position))
  const mistaken = small.graft('lot', 9)
  small.graft('lot', 4, { budCount: 3, bundleId: small.id('one') })
  const nextDay = new Date(Date.parse('2027-01-11T08:00:00Z'))
  const later = new SmallSeason(label, nextDay.toISOString())
  later.graft('lot', 5)
  later.split('lot', 'part')
  later.withdraw(wrong, 'it was another lot')
  later.withdraw(mistaken)
  const [first] = grafts
  if (first === undefined) throw new Error('no graft')
  later.add('take.checked', {
    vine: first.body.vine,
    results: [{ graftId: first.id, growing: 1, callused: 1, failed: 0 }],
    shootLengthMm: null,
    note: '',
  })
  later.add('graft.removed', { graftId: first.id, reason: 'broken' })
  later.add('tag.spoiled', { code, reason: 'torn' })
  const entries = later.entries.map((entry, nr) => ({
    ...entry,
    id: idOf(`${label} later ${nr}`),
    deviceCounter: small.entries.length + 1 + nr,
  }))
  const { db } = database.app
  await db.insertInto('person').values({ person_id: cut.person, name: 'Ada Quill' }).execute()
  await db.insertInto('device').values({ device_id: cut.device, name: 'Phone 3' }).execute()
  await send(db, small.entries)
  await send(db, entries)
  return { small, lotId: cut.body.lotId, cut, code }
}

describe("a lot's story", () => {
  it('tells entries and vines in order of time, and marks what was withdrawn', async () => {
    const { lotId, cut } = await season('told')
    const story = await readStory(database.reader.db, lotId, 'UTC', 0)
    expect(told(story.events)).toEqual([
      'lot.cut',
      'tag.bound',
      'hold.placed',
      'hold.lifted',
      'wood.handed_over',
      'wood.discarded (withdrawn)',
      '4 grafts on 3 vines',
      'graft.made (withdrawn)',
      '1 grafts on 1 vines',
      'lot.split',
      '1 take checks on 1 vines',
      '1 removals on 1 vines',
      'tag.spoiled',
    ])
    expect(story.total).toBe(13)
    expect(story.events[0]).toMatchObject({
      entry: cut,
      person: 'Ada Quill',
      device: 'Phone 3',
      occurred_at: new Date(cut.occurredAt),
    })
    expect(story.events[5]).toMatchObject({
      withdrawn: { reason: 'it was another lot', person: 'Ada Quill' },
    })
    expect(story.events[6]).toMatchObject({ buds: 9, words: ['chip bud'], day: '2027-01-10' })
    expect(story.events[10]).toMatchObject({ growing: 1, callused: 1, failed: 0 })
    expect(story.names.get(cut.body.to.id)).toBe('room')
  })

  it('counts days in the zone asked for', async () => {
    const small = new SmallSeason('zones', '2027-01-10T22:50:00Z')
    small.graft('lot', 1)
    small.graft('lot', 2)
    for (let nr = 0; nr < 20; nr += 1) small.place('elsewhere')
    small.graft('lot', 3)
    await send(database.app.db, small.entries)
    const days = async (zone: string) => {
      const story = await readStory(database.reader.db, small.id('lot'), zone, 0)
      return story.events.map((event) => (event.what === 'entry' ? '' : event.day))
    }
    expect(await days('UTC')).toEqual(['2027-01-10'])
    expect(await days('Europe/Vienna')).toEqual(['2027-01-10', '2027-01-11'])
  })

  it('comes in pages that leave nothing out and tell nothing twice', async () => {
    const small = new SmallSeason('pages')
    small.cut('lot')
    for (let nr = 0; nr < STORY_PAGE + 30; nr += 1) {
      small.handOver('lot', 1)
    }
    await send(database.app.db, small.entries)
    const pages = await Promise.all(
      [0, 1, 2].map((page) => readStory(database.reader.db, small.id('lot'), 'UTC', page)),
    )
    expect(pages.map((page) => page.events.length)).toEqual([STORY_PAGE, 31, 0])
    expect(pages.map((page) => page.total)).toEqual([131, 131, 131])
    const ids = pages.flatMap((page) =>
      page.events.map((event) => (event.what === 'entry' ? event.entry.id : '')),
    )
    expect(ids).toEqual(small.entries.map((entry) => entry.id))
  })

  it('still shows a lot whose cutting was withdrawn, with the tags of its bundles', async () => {
    const small = new SmallSeason('gone')
    const bundles = [{ bundleId: small.id('b'), unit: 'stick' as const, count: 20 }]
    const cut = small.cut('lot', { bundles })
    small.add('tag.bound', { code: '00000009990', thing: { kind: 'bundle', id: small.id('b') } })
    small.withdraw(cut)
    await send(database.app.db, small.entries)
    const story = await readStory(database.reader.db, small.id('lot'), 'UTC', 0)
    expect(told(story.events)).toEqual(['lot.cut (withdrawn)', 'tag.bound'])
  })
})

describe("a lot's detail", () => {
  it('says what it is, where it is, what it became and how it took', async () => {
    const { small, lotId, code } = await season('detail')
    const detail = await readLotDetail(database.reader.db, lotId)
    expect(detail?.identity).toMatchObject({ reference: 'lot', source: 'source', makings: 1 })
    expect(detail?.parents).toEqual([])
    expect(detail?.children).toMatchObject([{ reference: 'part', made_by: 'split' }])
    expect(detail?.holds).toEqual([])
    const at = (holding: { account_kind: string; sticks: number; buds: number }) =>
      [holding.account_kind, holding.sticks, holding.buds].join(' ')
    expect(detail?.bundles.map((bundle) => [bundle.number, bundle.tags.length])).toEqual([
      [1, 1],
      [2, 0],
    ])
    expect(detail?.bundles[0]?.tags[0]).toMatchObject({ code, ended_how: 'spoiled' })
    expect(detail?.bundles[0]?.holdings.map(at).sort()).toEqual(
      ['source -20 0', 'holder 20 -3', 'vine 0 3'].sort(),
    )
    expect(detail?.balance.map(at).sort()).toEqual(
      ['holder 20 -11', 'lot 10 0', 'place 70 0', 'source -100 0', 'vine 0 11'].sort(),
    )
    const holder = detail?.balance.find((holding) => holding.account_kind === 'holder')
    expect(holder?.bud_equivalents).toBe(20 * 6 - 11)
    expect(detail?.balance.reduce((sum, holding) => sum + holding.bud_equivalents, 0)).toBe(0)
    expect(detail?.grafts).toMatchObject([
      { row_label: 'row', vines: 4, grafts: 5, buds_set: 11, removed: 1 },
    ])
    expect(detail?.grafts[0]?.take.buds).toMatchObject({ growing: 1, callused: 1, notChecked: 9 })
    expect(detail?.grafts[0]?.take.vines).toMatchObject({ growing: 1, notChecked: 3 })
    const part = await readLotDetail(database.reader.db, small.id('part'))
    expect(part?.parents).toMatchObject([{ lot_id: lotId, reference: 'lot' }])
  })

  it('is nothing for an id no entry uses, and has no identity when none made it', async () => {
    expect(await readLotDetail(database.reader.db, idOf('nobody'))).toBeNull()
    const small = new SmallSeason('unmade')
    small.graft('lot', 1)
    await send(database.app.db, small.entries)
    const detail = await readLotDetail(database.reader.db, small.id('lot'))
    expect(detail?.identity).toBeNull()
    expect(detail?.grafts).toMatchObject([{ grafts: 1, row_label: null }])
  })
})
