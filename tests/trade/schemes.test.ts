// Scheme rules: what was read is applied, what was not is never guessed, and each names its text.
import { readFile } from 'node:fs/promises'
import { describe, expect, it } from 'vitest'
import { addMonths } from '#trade/schemes/months.ts'
import { ruleResults } from '#trade/schemes/rule-results.ts'
import type { SourceRuleFacts } from '#trade/schemes/rule-results.ts'
import { findScheme, lowestClass, SCHEMES } from '#trade/schemes/schemes.ts'
import { schemesPage } from './schemes-page.ts'

const nothing: SourceRuleFacts = {
  scheme: 'Washington',
  className: 'G2',
  tests: [],
  blockTests: [],
  inspections: [],
  grownFrom: null,
  topworkedOn: null,
}
const tested = (sampledOn: string, agent = 'GLRaV-3', result = 'not detected') => ({
  agent,
  sampledOn,
  result,
})
function one(facts: Partial<SourceRuleFacts>, day: string, ruleId: string) {
  return ruleResults({ ...nothing, ...facts }, day).find((result) => result.ruleId === ruleId)
}

describe('every scheme', () => {
  it('cites a text for each rule, and gives no figure to apply where none was read', () => {
    const rules = SCHEMES.flatMap((scheme) => scheme.rules)
    expect(new Set(rules.map(({ id }) => id)).size).toBe(rules.length)
    for (const rule of rules) {
      expect(rule.citation).not.toBe('')
      if (rule.known === 'from memory' || rule.known === 'not found') {
        expect(rule.check, rule.id).toBeNull()
        expect(rule.words, rule.id).not.toMatch(/\d+ ?(years|months|%|ft|m)\b/)
      }
    }
  })

  it('is told in docs/schemes.md as the program has it', async () => {
    const told = await readFile(new URL('../../docs/schemes.md', import.meta.url), 'utf8')
    expect(told, 'npx tsx tests/trade/write-schemes.ts writes it anew').toBe(schemesPage())
  })

  it('is found by its name in any spelling, and no other is taken for it', () => {
    expect(findScheme('wac 16-462')?.id).toBe('washington')
    expect(findScheme('New  Zealand')?.id).toBe('new-zealand')
    expect(findScheme('de')?.id).toBe('germany')
    expect(findScheme('Utopia')).toBeNull()
    const names = SCHEMES.flatMap(({ id, name, alsoCalled }) => [id, name, ...alsoCalled])
    for (const name of names) {
      const owners = SCHEMES.filter((scheme) => scheme === findScheme(name))
      expect(owners, name).toHaveLength(1)
    }
  })
})

describe('retesting', () => {
  it('is due 5 years after the last sample in Washington (WAC 16-462-027), to the day', () => {
    const facts = { tests: [tested('2021-06-14')] }
    const asked = (day: string) => one(facts, day, 'washington.retest')
    expect(asked('2026-06-14')).toMatchObject({
      result: 'holds',
      because: 'last test 2021-06-14, due by 2026-06-14',
      dueOn: '2026-06-14',
      known: 'confirmed',
    })
    expect(asked('2026-06-15')).toMatchObject({ result: 'does not hold' })
    expect(asked('2021-06-13')).toMatchObject({ result: 'not known' })
  })

  it('is asked of the classes that the text names, and of no others', () => {
    expect(one({ className: 'G1' }, '2027-01-01', 'washington.retest')).toBeUndefined()
    expect(one({ className: null }, '2027-01-01', 'washington.retest')).toMatchObject({
      result: 'not known',
    })
  })

  it('rests on no inconclusive sample, nor on one of the whole block', () => {
    const facts = {
      tests: [tested('2026-01-01', 'GLRaV-3', 'inconclusive')],
      blockTests: [tested('2026-01-01')],
    }
    expect(one(facts, '2026-02-01', 'washington.retest')).toMatchObject({
      result: 'not known',
      because: expect.stringContaining('only its block was tested') as string,
    })
  })

  it('asks each agent by itself where the text lists them (RebPflV Anlage 1)', () => {
    const german = { scheme: 'DE', className: 'initial' }
    const rest = [tested('2024-05-01', 'fanleaf'), tested('2023-05-01', 'ArMV')]
    const some = { ...german, tests: [...rest, tested('2025-05-01', 'GLRaV-1')] }
    expect(one(some, '2027-01-01', 'germany.retest.initial')).toMatchObject({
      result: 'not known',
      because: 'no conclusive test for GLRaV-3 by 2027-01-01',
      known: 'in a transposition',
    })
    const whole = tested('2025-05-01', 'leafroll viruses (GLRaV-1, -2, -3, -4)')
    const all = { ...german, tests: [...rest, whole] }
    expect(one(all, '2027-01-01', 'germany.retest.initial')).toMatchObject({
      result: 'holds',
      dueOn: '2028-05-01',
    })
  })

  it('is not known where the interval was not read, until the nursery sets it', () => {
    const eu = { ...nothing, scheme: 'EU', className: 'base', tests: [tested('2021-06-14')] }
    const [before] = ruleResults(eu, '2027-01-01').filter(({ topic }) => topic === 'retest')
    expect(before).toMatchObject({ result: 'not known', known: 'from memory', dueOn: null })
    const own = {
      id: 'own',
      scheme: 'eu',
      topic: 'retest',
      className: 'base',
      amount: 12,
      citation: 'letter of our authority',
    } as const
    const after = ruleResults(eu, '2027-01-01', [own]).filter(({ topic }) => topic === 'retest')
    expect(after).toMatchObject([
      { result: 'does not hold', known: 'set by the nursery', dueOn: '2022-06-14' },
    ])
  })

  it('stays as the text has it when the nursery sets a longer interval', () => {
    const own = {
      id: 'own',
      scheme: 'WSDA',
      topic: 'retest',
      className: null,
      amount: 120,
      citation: 'our own wish',
    } as const
    const results = ruleResults({ ...nothing, tests: [tested('2020-01-01')] }, '2026-01-01', [own])
    const retests = results.filter(({ topic }) => topic === 'retest').map(({ result }) => result)
    expect(retests).toEqual(['does not hold', 'holds'])
  })
})

describe('other rules', () => {
  it('30 ft are 9.144 m in Oregon (OAR 603-051-0835(2)), and the latest look counts', () => {
    const at = (inspectedOn: string, isolationMetres: number | null) => ({
      ...{ inspectedOn, isolationMetres, result: '', nearby: 'an old block' },
    })
    const oregon = (inspections: SourceRuleFacts['inspections']) =>
      one({ scheme: 'Oregon', inspections }, '2027-01-01', 'oregon.isolation')
    expect(oregon([at('2026-05-01', 9.144)])).toMatchObject({ result: 'holds' })
    expect(oregon([at('2026-05-01', 9.1)])).toMatchObject({ result: 'does not hold' })
    expect(oregon([at('2026-05-01', 20), at('2026-08-01', 5)])).toMatchObject({
      result: 'does not hold',
      because: '5 m to an old block, seen 2026-08-01; asked are 9.144 m',
    })
    expect(oregon([at('2026-05-01', null)])).toMatchObject({ result: 'not known' })
  })

  it('between 10 and 20 ft are not known in Washington, for the ground decides', () => {
    const washington = (isolationMetres: number) =>
      one(
        {
          className: 'G4',
          inspections: [{ inspectedOn: '2026-05-01', isolationMetres, result: '', nearby: '' }],
        },
        '2027-01-01',
        'washington.isolation',
      )?.result
    expect(washington(3)).toBe('does not hold')
    expect(washington(3.048)).toBe('not known')
    expect(washington(6.096)).toBe('holds')
  })

  it('G3 may grow from G1 or G2 in Oregon; in Washington from G2 on conditions alone', () => {
    const from = (scheme: 'oregon' | 'washington', className: string | null) =>
      one({ scheme, className: 'G3', grownFrom: { className } }, '2027-01-01', `${scheme}.lineage`)
        ?.result
    expect(from('oregon', 'g2')).toBe('holds')
    expect(from('oregon', 'G4')).toBe('does not hold')
    expect(from('washington', 'G1')).toBe('holds')
    expect(from('washington', 'G2')).toBe('not known')
    expect(from('washington', 'G4')).toBe('does not hold')
    expect(from('washington', null)).toBe('not known')
    expect(one({}, '2027-01-01', 'washington.lineage')?.result).toBe('not known')
  })

  it('tell when a new application is due after topworking in California, never that it is', () => {
    const facts = { scheme: 'California', topworkedOn: '2026-08-31' }
    expect(one(facts, '2027-01-01', 'california.notice.increase')).toMatchObject({
      result: 'not known',
      dueOn: '2027-02-28',
    })
    expect(one({ scheme: 'California' }, '2027-01-01', 'california.notice.increase')).toBe(
      undefined,
    )
  })

  it('say of a scheme that nobody told of that its rules are not known', () => {
    expect(ruleResults({ ...nothing, scheme: 'Utopia' }, '2027-01-01')).toMatchObject([
      { result: 'not known', known: 'not found', scheme: 'Utopia' },
    ])
    expect(ruleResults({ ...nothing, scheme: null }, '2027-01-01')).toEqual([])
  })
})

describe('a graft of two classes', () => {
  it('has the lower of the two, and none when one is not on record', () => {
    const ladder = findScheme('EU')?.classes ?? []
    expect(lowestClass(ladder, ['base', 'Standard', 'certified'])).toBe('standard')
    expect(lowestClass(ladder, ['base', null])).toBeNull()
    expect(lowestClass(ladder, ['base', 'G1'])).toBeNull()
    expect(lowestClass(ladder, [])).toBeNull()
  })
})

describe('months', () => {
  it('end on the last day of a month that is too short', () => {
    expect(addMonths('2024-02-29', 12)).toBe('2025-02-28')
    expect(addMonths('2026-08-31', 6)).toBe('2027-02-28')
    expect(addMonths('2027-01-15', -12)).toBe('2026-01-15')
  })
})
