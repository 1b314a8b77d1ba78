// Tries a finding rule on a small season: in order, then wrong, then put right again.
import { expect, it } from 'vitest'
import { findingInEnglish, idsIn } from '../../api/custody/finding-words.ts'
import type { FactsByFinding, FindingCode } from '../../api/journal/finding-codes.ts'
import type { Database } from '../../db/connect.ts'
import type { TestDatabase } from '../database.ts'
import { send, SmallSeason } from '../lots/small-season.ts'

/** One case of one rule. Each step adds entries to the season of the one before. */
export type RuleCase<C extends FindingCode = FindingCode> = {
  code: C
  /** What is wrong, in words. */
  when: string
  /** How it is put right, in words. */
  until: string
  /** Entries with which everything is in order. */
  sound: (season: SmallSeason) => void
  /** What is then wrong. */
  wrong: (season: SmallSeason) => void
  /** What puts it right: a withdrawal, or an entry that arrives late. */
  mend: (season: SmallSeason) => void
  /** What the finding says, in part. */
  facts: (season: SmallSeason) => Partial<FactsByFinding[C]>
}

/** Any case, whatever its code. */
export type AnyRuleCase = { [C in FindingCode]: RuleCase<C> }[FindingCode]

/** One test for each case: nothing before, exactly one finding, in whole words, nothing after. */
export function itFinds(database: () => TestDatabase, cases: readonly AnyRuleCase[]): void {
  for (const one of cases) {
    it(`${one.code}: ${one.when}, until ${one.until}`, async () => {
      const { db } = database().app
      const season = new SmallSeason(`${one.code} ${one.when}`)
      season.place('room')
      season.source('source')
      season.add('block.registered', { blockId: season.id('block'), name: 'block', note: '' })
      const before = await findingsOf(db, one.code)
      const step = async (write: (season: SmallSeason) => void) => {
        const from = season.entries.length
        write(season)
        await send(db, season.entries.slice(from))
        const now = await findingsOf(db, one.code)
        return now.filter((row) => !before.some((known) => known.finding_key === row.finding_key))
      }
      await send(db, season.entries)
      expect(await step(one.sound)).toEqual([])
      const found = await step(one.wrong)
      expect(found).toHaveLength(1)
      expect(found[0]?.facts).toMatchObject(one.facts(season))
      expectWords(one.code, found[0]?.facts)
      expect(await step(one.mend)).toEqual([])
    })
  }
}

type FindingRow = { finding_key: string; facts: unknown }

export async function findingsOf(db: Database, code: FindingCode): Promise<FindingRow[]> {
  return db
    .selectFrom('finding')
    .select(['finding_key', 'facts'])
    .where('code', '=', code)
    .orderBy('finding_key')
    .execute()
}

/** The finding is told in whole sentences, with names in place of ids. */
function expectWords(code: FindingCode, facts: unknown): void {
  const names = new Map(idsIn(facts).map((id, nr) => [id, `thing ${nr}`]))
  const words = findingInEnglish(code, facts, (id) => names.get(id) ?? '?')
  expect(words.sentence).toMatch(/^[A-Z0-9a-z].*[.:…]$/s)
  expect(words.sentence).not.toMatch(/undefined|NaN|null|\[object|\?/)
  expect(words.mend).toMatch(/^[A-Z].*\.$/s)
}
