// What a phone is told of the nursery itself: names, places, methods, and the numbers it has set.
import { sql } from 'kysely'
import { graftingMethods } from '#trade/grafting-methods.ts'
import { POLICY_KEYS } from '#trade/policies.ts'
import { DEFAULT_POLICIES } from '#trade/policy-defaults.ts'
import type { SnapshotSettingShape } from '#wire/api-snapshot.ts'
import type { Database } from '../../db/connect.ts'
import {
  listParties,
  listPeople,
  listVarieties,
  readNursery,
  readPolicies,
} from '../nursery/read.ts'
import { readPlaces } from '../store/places.ts'
import type { Season } from './season.ts'

/** Most methods that are told. */
const METHOD_LIMIT = 30

/** Everything but the digest. Of people only who works here, by id and name. */
export async function readSetting(
  db: Database,
  season: Season,
  now: Date,
): Promise<Omit<SnapshotSettingShape, 'digest'>> {
  const nursery = await readNursery(db)
  const people = await listPeople(db, { current: true })
  const parties = await listParties(db)
  const varieties = await listVarieties(db)
  const places = await readPlaces(db)
  return {
    host: nursery?.label_host ?? null,
    timeZone: season.zone,
    seasonFrom: season.fromMs,
    people: people.map(({ person_id, name }) => ({ id: person_id, name })),
    parties: parties.map(({ party_id, name, role }) => ({ id: party_id, name, role })),
    varieties: varieties.map(({ variety_id, name }) => ({ id: variety_id, name })),
    methods: await readMethods(db, season),
    places: places.map(({ placeId, name, placeKind, insidePlaceId, cooled }) => {
      return { id: placeId, name, placeKind, insidePlaceId, cooled }
    }),
    policies: await readOwnPolicies(db, now),
  }
}

/** Methods used this season and the last, the most used first, then those that anybody may use. */
async function readMethods(db: Database, season: Season): Promise<string[]> {
  const rows = await sql<{ method: string }>`
    select method from (
      select method, 1 as used from graft where grafted_at >= ${new Date(season.beforeMs)}
      union all
      select method, 0 from row_plan where method is not null and season >= ${season.year - 1}
    ) known
    group by method order by sum(used) desc, method limit ${METHOD_LIMIT}`.execute(db)
  return [...new Set([...rows.rows.map(({ method }) => method), ...graftingMethods])]
}

/** What is in force today and not the published default. */
async function readOwnPolicies(db: Database, now: Date): Promise<SnapshotSettingShape['policies']> {
  const { policies } = await readPolicies(db, now)
  return POLICY_KEYS.filter((key) => policies[key] !== DEFAULT_POLICIES[key]).map((key) => {
    const { value, source } = policies[key]
    return { key, value, source }
  })
}
