// Sends a small season and asks what judgement is told about a lot of it.
import type { Judgement } from '#trade/judge.ts'
import { judge } from '#trade/judge.ts'
import type { KnownLotFacts } from '#trade/lot-facts.ts'
import { policiesWith } from '#trade/policies.ts'
import { readLotFacts } from '../../api/lots/lot-facts.ts'
import type { LotQuestion } from '../../api/lots/lot-facts.ts'
import type { TestDatabase } from '../database.ts'
import { send, SmallSeason } from './small-season.ts'

/** A minute after the season's last entry. */
export const nowOf = (small: SmallSeason) =>
  new Date(Date.parse(small.entries.at(-1)?.occurredAt ?? '') + 60_000)

/** The facts of a known lot, a minute after the season's last entry. */
export async function factsOf(
  database: TestDatabase,
  small: SmallSeason,
  lot: string,
  question: LotQuestion = {},
): Promise<KnownLotFacts> {
  const id = small.id(lot)
  const facts = (await readLotFacts(database.reader.db, [id], nowOf(small), question)).get(id)
  if (facts?.known !== true) throw new Error(`${lot} is not known`)
  return facts
}

/** Judges a lot by the default policies, a minute after the season's last entry. */
export async function judgementOf(
  database: TestDatabase,
  small: SmallSeason,
  lot: string,
): Promise<Judgement> {
  const facts = await factsOf(database, small, lot)
  return judge(facts, policiesWith({}), nowOf(small).getTime())
}

/** Writes a season that begins with a cooled room and a source in good standing, and sends it. */
export async function sent(
  database: TestDatabase,
  label: string,
  write: (small: SmallSeason) => void,
): Promise<SmallSeason> {
  const small = new SmallSeason(label)
  small.place('room')
  small.source('source')
  write(small)
  await send(database.app.db, small.entries)
  return small
}

/** A lot that is ready: cut, kept cold, soaked for 30 hours, back in the cold an hour ago. */
export function readyLot(small: SmallSeason): void {
  small.place('tank', { placeKind: 'tank', cooled: false })
  small.bath('bath')
  small.cut('lot')
  small.wait(24)
  small.soak('lot', 100, 'bath')
  small.wait(30)
  small.liftOut('lot', 100, 'bath')
  small.wait(1)
}

export const iso = (at: number | null) => (at === null ? null : new Date(at).toISOString())
