// Records a small season and answers the rules of a dossier of its lot.
import { readDossierEntries } from '../../api/dossier/entries.ts'
import { readDossierFacts } from '../../api/dossier/facts.ts'
import { readGround } from '../../api/dossier/ground.ts'
import { answerRules } from '../../api/dossier/rules.ts'
import type { RuleAnswer } from '../../api/dossier/dossier-shape.ts'
import { readScope } from '../../api/dossier/scope.ts'
import type { Database } from '../../db/connect.ts'
import { send, SmallSeason } from '../lots/small-season.ts'

/** The answers for the lot named `lot` of what `tell` writes (see the season's clock). */
export async function answeredRules(
  db: Database,
  name: string,
  tell: (season: SmallSeason) => void,
): Promise<RuleAnswer[]> {
  const season = new SmallSeason(name)
  tell(season)
  await send(db, season.entries)
  const scope = await readScope(db, { kind: 'lot', id: season.id('lot'), position: 0 })
  const ground = await readGround(db, scope, new Date('2027-12-01T00:00:00Z'))
  const size = Number.MAX_SAFE_INTEGER
  const carried = await readDossierEntries(db, scope, size, ground.entryIds)
  return answerRules(await readDossierFacts(db, scope, carried, ground))
}
