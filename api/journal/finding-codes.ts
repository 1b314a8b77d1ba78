// The closed list of what the records can show, with the numbers and ids behind each.

/** One way in which a thing differs from another that it should be like; null: not stated. */
export type Difference = {
  what: 'material' | 'variety' | 'clone' | 'scheme' | 'class' | 'harvest year'
  here: string | null
  there: string | null
}

/** The facts that each finding carries. Times are ISO 8601 in UTC, days are dates. */
export type FactsByFinding = {
  lot_unknown: { lot_id: string; entries: number }
  lot_made_twice: { lot_id: string; entries: number; references: string[] }
  reference_taken: { reference: string; lots: string[] }
  more_than_there_was: {
    lot_id: string
    account_kind: string
    account_id: string
    bud_equivalents: number
  }
  more_buds_set_than_cut: { lot_id: string; buds_set: number; bud_equivalents: number }
  cut_differs_from_source: { lot_id: string; source_id: string; differs: Difference[] }
  split_differs_from_parent: { lot_id: string; parent_lot_id: string; differs: Difference[] }
  combined_differs_from_parent: { lot_id: string; parent_lot_id: string; differs: Difference[] }
  lot_in_circle: { lot_id: string; parents: string[] }
  lot_of_unknown_source: { lot_id: string; source_id: string }
  bundle_unknown: { lot_id: string; bundle_id: string; entries: number }
  used_before_made: { lot_id: string; made_at: string; used_at: string }
  left_before_it_came: {
    lot_id: string
    place_id: string
    left_at: string
    came_at: string
    bud_equivalents: number
  }
  used_on_hold: {
    lot_id: string
    hold_id: string
    on_kind: string
    on_id: string
    cuts: number
    grafts: number
    hand_overs: number
    soaks: number
    first_at: string
    last_at: string
  }
  source_not_good_at_cut: {
    lot_id: string
    source_id: string
    standing: string
    since: string
    cut_at: string
  }
  cut_from_positive_source: {
    lot_id: string
    source_id: string
    agent: string
    sampled_on: string
    cut_at: string
  }
  source_unknown: { source_id: string; entries: number }
  source_tested_positive_later: {
    source_id: string
    agent: string
    sampled_on: string
    lots: number
    examples: string[]
  }
  row_unknown: { row_id: string; entries: number }
  position_beyond_row: { row_id: string; position: number; positions: number; entries: number }
  grafted_where_no_vine: { row_id: string; position: number; grafts: number; first_at: string }
  differs_from_plan: {
    row_id: string
    lot_id: string
    season: number
    vines: number
    first_position: number
    last_position: number
    differs: Difference[]
  }
  two_rows_one_label: { block_id: string; label: string; rows: string[] }
  block_unknown: { block_id: string; rows: string[] }
  tag_on_two_things: { code: string; things: { kind: string; id: string }[] }
  tag_used_after_end: { code: string; how: string; ended_at: string; bound_at: string }
  tag_not_ours: { code: string; bindings: number }
  thing_of_tag_unknown: { code: string; kind: string; id: string }
  bath_unknown: { bath_id: string; entries: number }
  bath_filled_twice: { bath_id: string; entries: number }
  place_unknown: { place_id: string; entries: number }
  soak_without_end: { bath_id: string; lot_id: string; bud_equivalents: number; emptied_at: string }
  soaked_in_emptied_bath: { bath_id: string; lot_id: string; emptied_at: string; began_at: string }
  soaked_before_filled: { bath_id: string; lot_id: string; filled_at: string; began_at: string }
  soak_ended_not_begun: { bath_id: string; lot_id: string; ended_at: string }
  soaked_in_held_bath: {
    bath_id: string
    lot_id: string
    hold_id: string
    soaks: number
    first_at: string
  }
  bath_emptied_before_filled: { bath_id: string; filled_at: string; emptied_at: string }
  more_live_than_sampled: { lot_id: string; checks: number; live: number; sampled: number }
  dried_to_more: { lot_id: string; checks: number }
  graft_of_take_unknown: { graft_id: string; checks: number; withdrawn: boolean }
  take_more_buds_than_set: { graft_id: string; buds_set: number; buds_seen: number }
  take_on_other_vine: {
    graft_id: string
    row_id: string
    position: number
    seen_row_id: string
    seen_position: number
  }
  removed_graft_unknown: { graft_id: string; removals: number; withdrawn: boolean }
  grew_after_removal: { graft_id: string; removed_at: string; seen_at: string }
  accepted_other_count: {
    lot_id: string
    handover_id: string
    holder_id: string
    unit: string
    given: number
    accepted: number
    accepted_unit: string
    other_bundle: boolean
    accepted_at: string
  }
  hold_unknown: { hold_id: string; lifted_at: string }
  counter_missing: { device_id: string; from: number; to: number }
  counter_twice: { device_id: string; counter: number }
  withdrawn_unknown: { entry_id: string; withdrawals: number }
  withdrawal_of_withdrawal: { entry_id: string; withdrawals: number }
  clock_ahead: { device_id: string; recorded_on: string; entries: number; worst_minutes: number }
  late_entry: { device_id: string; recorded_on: string; entries: number; worst_minutes: number }
}

/** What the records can show; never renamed, for answers name it. */
export type FindingCode = keyof FactsByFinding
