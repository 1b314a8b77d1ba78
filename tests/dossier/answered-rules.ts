// Records a small season, and tells the rules and tables of a dossier of its lot.
import { readDossierEntries } from '../../api/dossier/entries.ts'
import { readDossierFacts } from '../../api/dossier/facts.ts'
import type { DossierFacts } from '../../api/dossier/facts.ts'
import { readGround } from '../../api/dossier/ground.ts'
import { answerRules } from '../../api/dossier/rules.ts'
import type { DossierTable, RuleAnswer } from '../../api/dossier/dossier-shape.ts'
import { readScope } from '../../api/dossier/scope.ts'
import { dossierTables } from '../../api/dossier/tables.ts'
import type { Database } from '../../db/connect.ts'
import { send, SmallSeason } from '../lots/small-season.ts'

/** The answers for the lot named `lot` of what `tell` writes (see the season's clock). */
export async function answeredRules(
  db: Database,
  name: string,
  tell: (season: SmallSeason) => void,
): Promise<RuleAnswer[]> {
  return answerRules(await toldFacts(db, name, tell))
}

/** The table of this title for the same lot. */
export async function toldTable(
  db: Database,
  name: string,
  { title, tell }: { title: string; tell: (season: SmallSeason) => void },
): Promise<DossierTable> {
  const tables = await dossierTables(db, await toldFacts(db, name, tell))
  const found = tables.find((table) => table.title === title)
  if (found === undefined) throw new Error(`no table ${title}`)
  return found
}

async function toldFacts(
  db: Database,
  name: string,
  tell: (season: SmallSeason) => void,
): Promise<DossierFacts> {
  const season = new SmallSeason(name)
  tell(season)
  await send(db, season.entries)
  const scope = await readScope(db, { kind: 'lot', id: season.id('lot'), position: 0 })
  const ground = await readGround(db, scope, new Date('2027-12-01T00:00:00Z'))
  const size = Number.MAX_SAFE_INTEGER
  const carried = await readDossierEntries(db, scope, size, ground.entryIds)
  return readDossierFacts(db, scope, carried, ground)
}
