// A dossier answers the rules of a source's scheme as they stood on the day its wood was cut.
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { freshDatabase } from '../database.ts'
import type { TestDatabase } from '../database.ts'
import type { SmallSeason } from '../lots/small-season.ts'
import { answeredRules } from './answered-rules.ts'

let database: TestDatabase
beforeAll(async () => {
  database = await freshDatabase()
})
afterAll(() => database.drop())

const rulesOf = (name: string, tell: (season: SmallSeason) => void) =>
  answeredRules(database.app.db, name, tell)

describe('the rules of a dossier', () => {
  it('answer a retest in time by the scheme’s own text', async () => {
    const rules = await rulesOf('in time', (season) => {
      season.source('source', { scheme: 'Washington', class: 'G2' })
      season.test('source', '2023-06-14', 'not detected')
      season.cut('lot')
    })
    expect(rules.find(({ rule }) => rule.includes('5-year rotation'))).toMatchObject({
      result: 'holds',
      citation: 'WAC 16-462-027',
      citationKnown: 'read',
      because: expect.stringContaining('last test 2023-06-14, due by 2028-06-14') as string,
    })
    expect(rules.find(({ rule }) => rule.includes('nothing detected'))?.result).toBe('holds')
  })

  it('do not hold where the last test before the cut is too old, whatever came later', async () => {
    const rules = await rulesOf('late', (season) => {
      season.source('source', { scheme: 'Washington', class: 'G2' })
      season.test('source', '2019-06-14', 'not detected')
      season.cut('lot')
      season.test('source', '2027-11-01', 'not detected')
    })
    expect(rules.find(({ rule }) => rule.includes('5-year rotation'))).toMatchObject({
      result: 'does not hold',
    })
  })

  it('say not known, and that it is from memory, where the interval was not read', async () => {
    const rules = await rulesOf('memory', (season) => {
      season.source('source', { scheme: 'EU', class: 'base' })
      season.test('source', '2026-06-14', 'not detected')
      season.cut('lot')
    })
    expect(rules.find(({ rule }) => rule.includes('mother vines of each category'))).toMatchObject({
      result: 'not known',
      citationKnown: 'from memory',
    })
  })

  it('do not hold when an agent was detected before the cut, or after it', async () => {
    const before = await rulesOf('positive', (season) => {
      season.source('source', { scheme: 'Washington', class: 'G2' })
      season.test('source', '2026-06-14', 'detected')
      season.cut('lot')
    })
    const tested = (rules: typeof before) =>
      rules.filter(({ rule }) => /nothing detected|No test of a source/.test(rule))
    expect(tested(before).map(({ result }) => result)).toEqual(['does not hold', 'does not hold'])
    const after = await rulesOf('positive later', (season) => {
      season.source('source', { scheme: 'Washington', class: 'G2' })
      season.test('source', '2026-06-14', 'not detected')
      season.cut('lot')
      season.test('source', '2027-11-14', 'detected')
    })
    expect(tested(after).map(({ result }) => result)).toEqual(['holds', 'does not hold'])
  })

  it('name a source for which no scheme is on record', async () => {
    const rules = await rulesOf('no scheme is named', (season) => {
      season.source('source', { scheme: null })
      season.cut('lot')
    })
    expect(rules.find(({ rule }) => rule.includes('names the scheme'))?.result).toBe('not known')
  })
})
