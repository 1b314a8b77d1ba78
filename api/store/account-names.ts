// The names that people know accounts by: places with their path, baths with their filling.
import { writtenTime } from '#trade/zone-time.ts'
import type { Database } from '../../db/connect.ts'
import type { BookAccount } from '../journal/fact-rows.ts'
import { readNames } from '../journal/names.ts'
import { readPlaces } from './places.ts'

/** Says how an account is called; an account that nothing is known of says so. */
export type AccountName = (account: BookAccount) => string

/** Reads the names of `accounts`; times of baths are shown in `zone`, an IANA time zone. */
export async function readAccountNames(
  db: Database,
  accounts: readonly BookAccount[],
  zone: string,
): Promise<AccountName> {
  const places = new Map((await readPlaces(db)).map((place) => [place.placeId, place.path]))
  const baths = await readBathNames(db, accounts, places, zone)
  const others = accounts.filter(({ kind }) => kind !== 'place' && kind !== 'bath')
  const names = await readNames(
    db,
    others.map(({ id }) => id),
  )
  return ({ kind, id }) => {
    const name = kind === 'place' ? places.get(id) : kind === 'bath' ? baths.get(id) : names.get(id)
    if (name === undefined) return unnamed(kind)
    return kind === 'lot' ? `lot ${name}` : kind === 'vine' ? `vines of ${name}` : name
  }
}

/** Says in words what an account without a name of its own is. */
function unnamed(kind: string): string {
  switch (kind) {
    case 'discarded':
      return 'discarded'
    case 'check':
      return 'used up by checks'
    case 'unknown':
      return 'place not recorded'
    case 'lot':
      return 'other lots'
    case 'vine':
      return 'vines of a row not registered here'
    default:
      return `a ${kind} not registered here`
  }
}

async function readBathNames(
  db: Database,
  accounts: readonly BookAccount[],
  places: Map<string, string>,
  zone: string,
): Promise<Map<string, string>> {
  const ids = [...new Set(accounts.filter(({ kind }) => kind === 'bath').map(({ id }) => id))]
  if (ids.length === 0) return new Map()
  const rows = await db
    .selectFrom('bath')
    .distinctOn('bath_id')
    .select(['bath_id', 'place_id', 'filled_at'])
    .where('bath_id', 'in', ids)
    .orderBy('bath_id')
    .orderBy('filled_at')
    .execute()
  return new Map(
    rows.map((row) => {
      const filled = writtenTime(row.filled_at.getTime(), zone)
      return [row.bath_id, `bath in ${places.get(row.place_id) ?? 'a tank'}, filled ${filled}`]
    }),
  )
}
