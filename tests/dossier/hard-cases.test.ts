// What auditors try: a standing lost twice, a test put right, the day of suspension, mixed wood.
import { afterAll, beforeAll, expect, it } from 'vitest'
import type { RuleAnswer } from '../../api/dossier/dossier-shape.ts'
import { freshDatabase } from '../database.ts'
import type { TestDatabase } from '../database.ts'
import type { SmallSeason } from '../lots/small-season.ts'
import { answeredRules, toldTable } from './answered-rules.ts'

let database: TestDatabase
beforeAll(async () => {
  database = await freshDatabase()
})
afterAll(() => database.drop())

const rulesOf = (name: string, tell: (season: SmallSeason) => void) =>
  answeredRules(database.app.db, name, tell)

function ruled(rules: readonly RuleAnswer[], words: string): RuleAnswer {
  const found = rules.filter(({ rule }) => rule.includes(words))
  const [only] = found
  if (only === undefined || found.length > 1) throw new Error(`${found.length} rules: ${words}`)
  return only
}

const atCut = 'in good standing on the day'
const since = 'lost its standing since'

it('a source suspended and reinstated twice is judged by the day of the cut', async () => {
  const tell = (cutAfterDays: number) => (season: SmallSeason) => {
    season.source('source')
    season.standing('source', 'suspended', '2027-02-01')
    season.standing('source', 'good', '2027-03-01')
    season.standing('source', 'suspended', '2027-04-01')
    season.standing('source', 'good', '2027-05-01')
    season.wait(24 * cutAfterDays)
    season.cut('lot')
  }
  // The clock begins on 10 January: these fall into each of the five spans in turn.
  const days = { before: 0, 'first loss': 30, between: 60, 'second loss': 90, after: 120 }
  const results: Record<string, string> = {}
  for (const [name, count] of Object.entries(days)) {
    const rules = await rulesOf(`twice ${name}`, tell(count))
    results[name] = `${ruled(rules, atCut).result}, ${ruled(rules, since).result}`
  }
  expect(results).toEqual({
    before: 'holds, does not hold',
    'first loss': 'does not hold, does not hold',
    between: 'holds, does not hold',
    'second loss': 'does not hold, holds',
    after: 'holds, holds',
  })
  const told = ruled(await rulesOf('twice told', tell(60)), since)
  expect(told.because).toBe('source: suspended from 2027-04-01, good from 2027-05-01')
})

it('wood cut on the very day of suspension was cut without standing', async () => {
  const rules = await rulesOf('very day', (season) => {
    season.source('source')
    season.cut('lot')
    season.standing('source', 'suspended', '2027-01-10')
  })
  expect(ruled(rules, atCut)).toMatchObject({
    result: 'does not hold',
    because: 'source (suspended since 2027-01-10)',
  })
  const dayAfter = await rulesOf('day after', (season) => {
    season.source('source')
    season.cut('lot')
    season.standing('source', 'suspended', '2027-01-11')
  })
  expect(ruled(dayAfter, atCut).result).toBe('holds')
})

it('a result that was withdrawn and entered anew counts as put right', async () => {
  const rules = await rulesOf('put right', (season) => {
    season.source('source')
    season.test('source', '2026-06-14', 'detected')
    const wrong = season.entries.at(-1)
    if (wrong === undefined) throw new Error('no test was written')
    season.test('source', '2026-06-14', 'not detected')
    season.cut('lot')
    season.withdraw(wrong, 'the laboratory mixed up two samples')
  })
  expect(ruled(rules, 'nothing detected').result).toBe('holds')
  expect(ruled(rules, 'No test of a source').result).toBe('holds')
})

it('mixed wood is not free of a hold when one of its parents is held', async () => {
  const tell = (isHeld: boolean) => (season: SmallSeason) => {
    season.source('clean')
    season.source('doubtful')
    season.cut('one', { sourceId: season.id('clean') })
    season.cut('other', { sourceId: season.id('doubtful') })
    season.combine('lot', ['one', 'other'])
    if (isHeld) season.hold('lot', 'other', 'GLRaV-3')
  }
  const held = await rulesOf('one held parent', tell(true))
  expect(ruled(held, 'No hold stands').result).toBe('does not hold')
  const free = await rulesOf('no held parent', tell(false))
  expect(ruled(free, 'No hold stands').result).toBe('holds')
})

it('a handover that the other side never accepted is told, with its entry', async () => {
  const rules = await rulesOf('handed over', (season) => {
    season.source('source')
    season.cut('lot')
    season.handOver('lot', 10)
  })
  expect(ruled(rules, 'Each handover was accepted')).toMatchObject({
    result: 'does not hold',
    because: '1 of 1 handover not so (lot)',
    entries: [expect.any(Number)],
  })
})

it('wood that was given out before it had come in is in two places', async () => {
  const rules = await rulesOf('two places', (season) => {
    season.source('source')
    season.cut('lot')
    season.handOver('lot', 10)
    season.handOver('lot', 5000)
  })
  const answer = ruled(rules, 'two places')
  expect(answer.result).toBe('does not hold')
  expect(answer.entries.length).toBeGreaterThan(0)
  expect(ruled(rules, 'adds up').result).toBe('does not hold')
})

it('the balance of a lot comes out to the bud, sticks and buds together', async () => {
  const tell = (season: SmallSeason) => {
    season.source('source')
    season.cut('lot')
    season.handOver('lot', 10)
    season.row('row')
    season.graft('lot', 1)
    season.graft('lot', 2)
    season.split('lot', 'part')
  }
  const title = 'Balance by lot'
  const { columns, rows } = await toldTable(database.app.db, 'balance', { title, tell })
  const [, cameIn, here, other, ...rest] = rows[0]?.cells ?? []
  expect(columns[1]).toBe('Came in')
  const [left = 0, discarded = 0, checked = 0, toLots = 0, short = 0] = rest.map(Number)
  expect(Number(here)).toBe(4)
  expect(Number(other)).toBe(0)
  const wentOut = Number(here) + Number(other) + discarded + checked + toLots
  expect(wentOut + left).toBe(Number(cameIn) + short)
  expect(toLots).toBeGreaterThan(0)
  expect(short).toBe(0)
})
