// Counts that are too large to be true are kept and shown; they never stop the record.
import { afterAll, beforeAll, expect, it } from 'vitest'
import { COUNT_LIMIT } from '#wire/basics.ts'
import { SmallSeason } from '../lots/small-season.ts'
import { deviceApp } from './device-app.ts'
import type { DeviceApp } from './device-app.ts'

let api: DeviceApp
const season = new SmallSeason('large', '2027-02-01T08:00:00Z')
beforeAll(async () => {
  api = await deviceApp(new Date('2027-04-01T08:00:00Z'))
})
afterAll(() => api.drop())

it('sums beyond four bytes are found, listed and traced like any other', async () => {
  season.place('room')
  // One lot, cut again and again: three thousand million buds lie in the room.
  for (let nr = 0; nr < 100; nr += 1) season.cut('L-1', { sticks: COUNT_LIMIT, budsPerStick: 30 })
  // Far more than there was goes out of it, to one hand.
  for (let nr = 0; nr < 300; nr += 1) season.handOver('L-1', COUNT_LIMIT)
  // And it is combined with itself, two and a half thousand times.
  const part = {
    ...season.sticks('L-1', COUNT_LIMIT),
    budEquivalents: COUNT_LIMIT,
    from: { kind: 'place' as const, id: season.id('room') },
  }
  for (let nr = 0; nr < 50; nr += 1) {
    season.combine('L-3', ['L-1'], { parents: Array.from({ length: 50 }, () => part) })
  }
  season.graft('L-3', 1)
  const [first] = season.entries
  const answer = await api.push(season.entries, await api.enrol(first?.device))
  expect(answer.results.every(({ result }) => result === 'recorded')).toBe(true)
  expect(answer.settled).toBe(true)
  expect(answer.findings.map(({ code }) => code)).toContain('more_than_there_was')
  for (const path of [
    'lots',
    `lots/${season.id('L-1')}`,
    `lots/${season.id('L-3')}`,
    `trace/back/lots/${season.id('L-3')}`,
    `trace/forward/lot/${season.id('L-1')}`,
  ]) {
    const response = await api.get(`/api/${path}`)
    expect(response.status, `${path}: ${await response.text()}`).toBe(200)
  }
})
