// The database's tables as the program types them: generated types, with views told precisely.
import type { DB } from './types.ts'

type Views = {
  nursery_now: DB['nursery']
  variety_now: DB['variety']
  party_now: DB['party']
  place_now: DB['place']
  block_now: DB['block']
  block_row_now: DB['block_row']
  source_now: DB['source']
  source_standing_row: DB['source']
  lineage_edge: { from_id: string; to_id: string; how: string }
  policy_now: DB['policy_setting']
  lot_first: DB['lot']
  bundle_first: DB['bundle']
  standing_hold: DB['hold']
  finding_open: DB['finding']
  tag_now: {
    code: string
    thing_kind: string
    thing_id: string
    bound_at: Date
    replaces_code: string | null
    ended_how: string | null
    ended_reason: string | null
    ended_at: Date | null
  }
}

/** All tables and views. Postgres calls every view column nullable; these say what is true. */
export type Tables = Omit<DB, keyof Views> & Views
