-- Fact tables: rows that one entry states, never changed; all of them can be emptied and rebuilt
-- from the journal. A withdrawn entry has no rows here.

create table nursery (
  entry_id uuid primary key, name text not null, address text not null, country text not null,
  operator_number text, certification_body text, label_host text, time_zone text not null,
  occurred_at timestamptz not null
);

create table variety (
  entry_id uuid primary key, variety_id uuid not null, name text not null,
  synonyms text[] not null, use text not null, occurred_at timestamptz not null
);
create index variety_idx on variety (variety_id, occurred_at);

create table party (
  entry_id uuid primary key, party_id uuid not null, name text not null, role text not null,
  registration_number text, note text not null, occurred_at timestamptz not null
);
create index party_idx on party (party_id, occurred_at);

create table place (
  entry_id uuid primary key, place_id uuid not null, name text not null, place_kind text not null,
  inside_place_id uuid, cooled boolean not null, note text not null,
  occurred_at timestamptz not null
);
create index place_idx on place (place_id, occurred_at);

create table block (
  entry_id uuid primary key, block_id uuid not null, name text not null, note text not null,
  occurred_at timestamptz not null
);
create index block_idx on block (block_id, occurred_at);

create table block_row (
  entry_id uuid primary key, row_id uuid not null, block_id uuid not null, label text not null,
  sequence integer not null, position_count integer not null, head_at text,
  missing integer[] not null, occurred_at timestamptz not null
);
create index block_row_idx on block_row (row_id, occurred_at);
create index block_row_block_idx on block_row (block_id);

create table row_section (
  entry_id uuid not null, line smallint not null, row_id uuid not null,
  from_position integer not null, to_position integer not null, planted_year integer,
  primary key (entry_id, line)
);

-- A layer of the trunk of the vines of a section (from row.laid_out) or of one vine (vine.planted).
create table trunk_layer (
  entry_id uuid not null, line smallint not null, layer_order smallint not null,
  row_id uuid not null, from_position integer not null, to_position integer not null,
  role text not null, variety_id uuid not null, clone text, origin_kind text not null,
  origin_id uuid, planted_year integer, occurred_at timestamptz not null,
  primary key (entry_id, line, layer_order)
);
create index trunk_layer_row_idx on trunk_layer (row_id);
create index trunk_layer_origin_idx on trunk_layer (origin_id) where origin_id is not null;

-- A vine gone from, or newly set at, one position.
create table vine_change (
  entry_id uuid primary key, row_id uuid not null, position integer not null, what text not null,
  planted_year integer, reason text not null, occurred_at timestamptz not null
);
create index vine_change_idx on vine_change (row_id, position);

create table row_plan (
  entry_id uuid primary key, row_id uuid not null, from_position integer not null,
  to_position integer not null, season integer not null, variety_id uuid not null, clone text,
  class text, method text, buds_per_vine integer not null, occurred_at timestamptz not null
);
create index row_plan_idx on row_plan (row_id, season);

create table policy_setting (
  entry_id uuid primary key, key text not null, value jsonb not null, source text not null,
  effective_from date not null, occurred_at timestamptz not null
);

create table source (
  entry_id uuid primary key, source_id uuid not null, level text not null,
  parent_source_id uuid, name text not null, registry_number text, variety_id uuid not null,
  clone text, scheme text, class text, planted_year integer, origin_lot_id uuid,
  row_id uuid, position integer, note text not null, occurred_at timestamptz not null
);
create index source_idx on source (source_id, occurred_at);
create index source_parent_idx on source (parent_source_id) where parent_source_id is not null;
create index source_origin_idx on source (origin_lot_id) where origin_lot_id is not null;
create index source_vine_idx on source (row_id, position) where row_id is not null;

create table source_standing (
  entry_id uuid primary key, source_id uuid not null, standing text not null,
  effective_from date not null, reason text not null, occurred_at timestamptz not null
);
create index source_standing_idx on source_standing (source_id, effective_from);

create table source_test (
  entry_id uuid primary key, source_id uuid not null, agent text not null, method text not null,
  laboratory text not null, sampled_on date not null, pooled_vines integer not null,
  result text not null, sample_reference text, note text not null,
  occurred_at timestamptz not null
);
create index source_test_idx on source_test (source_id, sampled_on);

-- One row for each lot that an entry brings into being.
create table lot (
  entry_id uuid not null, line smallint not null, lot_id uuid not null, reference text not null,
  made_by text not null, material text, variety_id uuid, clone text, scheme text, class text,
  source_id uuid, supplier_id uuid, supplier_reference text, passport_code text,
  harvest_year integer, buds_per_stick integer, note text not null,
  occurred_at timestamptz not null, person_id uuid not null,
  primary key (entry_id, line)
);
create index lot_idx on lot (lot_id);
create index lot_source_idx on lot (source_id) where source_id is not null;
create index lot_reference_idx on lot (reference);
create index lot_made_idx on lot (occurred_at desc, lot_id);

-- Lineage between lots; bud_equivalents is the weight of this parent among all of the child's.
create table lot_parent (
  entry_id uuid not null, line smallint not null, lot_id uuid not null, parent_lot_id uuid not null,
  bud_equivalents integer not null, primary key (entry_id, line)
);
create index lot_parent_child_idx on lot_parent (lot_id, parent_lot_id);
create index lot_parent_parent_idx on lot_parent (parent_lot_id, lot_id);

create table bundle (
  entry_id uuid not null, line smallint not null, bundle_id uuid not null, lot_id uuid not null,
  number integer not null, unit text not null, count integer not null,
  occurred_at timestamptz not null, primary key (entry_id, line)
);
create index bundle_idx on bundle (bundle_id);
create index bundle_lot_idx on bundle (lot_id);

create table tag_print (
  entry_id uuid not null, line smallint not null, print_id uuid not null, code text not null,
  payload text not null, form text not null, reprint_reason text,
  occurred_at timestamptz not null, primary key (entry_id, line)
);
create index tag_print_code_idx on tag_print (code);

create table tag_binding (
  entry_id uuid primary key, code text not null, thing_kind text not null, thing_id uuid not null,
  replaces_code text, occurred_at timestamptz not null
);
create index tag_binding_code_idx on tag_binding (code);
create index tag_binding_thing_idx on tag_binding (thing_id);
create index tag_binding_replaces_idx on tag_binding (replaces_code)
  where replaces_code is not null;

create table tag_end (
  entry_id uuid primary key, code text not null, how text not null, reason text not null,
  occurred_at timestamptz not null
);
create index tag_end_code_idx on tag_end (code);

-- Double entry: every quantity leaves one account and enters another, so that all movements of a
-- lot sum to zero for each unit. bundle_id and account_id are nil (all zero) where there is none.
create table movement (
  entry_id uuid not null, line smallint not null, lot_id uuid not null, bundle_id uuid not null,
  unit text not null, account_kind text not null, account_id uuid not null,
  count integer not null check (count <> 0), occurred_at timestamptz not null,
  primary key (entry_id, line)
);
create index movement_lot_idx on movement (lot_id, occurred_at);
create index movement_account_idx on movement (account_id, occurred_at)
  where account_kind in ('place', 'bath', 'holder');

-- Running sums of movement; a sum does not care about the order it is made in.
create table balance (
  lot_id uuid not null, bundle_id uuid not null, unit text not null, account_kind text not null,
  account_id uuid not null, count bigint not null,
  primary key (lot_id, bundle_id, unit, account_kind, account_id)
);
create index balance_account_idx on balance (account_kind, account_id) where count <> 0;

create table bath (
  entry_id uuid primary key, bath_id uuid not null, place_id uuid not null, water text not null,
  water_temp_c double precision, disinfectant text, litres integer,
  filled_at timestamptz not null
);
create index bath_idx on bath (bath_id);
create index bath_place_idx on bath (place_id);

create table bath_end (
  entry_id uuid primary key, bath_id uuid not null, emptied_at timestamptz not null
);
create index bath_end_idx on bath_end (bath_id);

create table soak (
  entry_id uuid primary key, bath_id uuid not null, lot_id uuid not null, bundle_id uuid not null,
  mark text not null, unit text not null, count integer not null, occurred_at timestamptz not null
);
create index soak_lot_idx on soak (lot_id);
create index soak_bath_idx on soak (bath_id);

create table graft (
  entry_id uuid primary key, row_id uuid not null, position integer not null,
  lot_id uuid not null, bundle_id uuid not null, method text not null, bud_count integer not null,
  knife_id uuid, tie text, person_id uuid not null, device_id uuid not null,
  grafted_at timestamptz not null
);
create index graft_vine_idx on graft (row_id, position);
create index graft_lot_idx on graft (lot_id);
create index graft_day_idx on graft (grafted_at);

create table vine_skip (
  entry_id uuid primary key, row_id uuid not null, position integer not null,
  reason text not null, person_id uuid not null, occurred_at timestamptz not null
);
create index vine_skip_idx on vine_skip (row_id, position);

create table graft_removal (
  entry_id uuid primary key, graft_id uuid not null, reason text not null,
  occurred_at timestamptz not null
);
create index graft_removal_idx on graft_removal (graft_id);

create table take_check (
  entry_id uuid not null, line smallint not null, row_id uuid not null, position integer not null,
  graft_id uuid, growing integer not null, callused integer not null, failed integer not null,
  shoot_length_mm integer, person_id uuid not null, checked_at timestamptz not null,
  primary key (entry_id, line)
);
create index take_check_vine_idx on take_check (row_id, position);
create index take_check_graft_idx on take_check (graft_id) where graft_id is not null;

create table hold (
  entry_id uuid primary key, hold_id uuid not null, on_kind text not null, on_id uuid not null,
  agent text, reason text not null, person_id uuid not null, placed_at timestamptz not null
);
create index hold_idx on hold (hold_id);
create index hold_on_idx on hold (on_id);

create table hold_lift (
  entry_id uuid primary key, hold_id uuid not null, reason text not null,
  person_id uuid not null, lifted_at timestamptz not null
);
create index hold_lift_idx on hold_lift (hold_id);

create table finding_answer (
  entry_id uuid primary key, finding_key text not null, answer text not null,
  person_id uuid not null, answered_at timestamptz not null
);
create index finding_answer_idx on finding_answer (finding_key);

create table withdrawal (
  entry_id uuid primary key, withdrawn_id uuid not null, reason text not null,
  person_id uuid not null, withdrawn_at timestamptz not null
);
create index withdrawal_idx on withdrawal (withdrawn_id);

-- Which entries tell of a thing: the way to its whole story. Grafts, skips and take checks are
-- found through their own tables.
create table entry_subject (
  entry_id uuid not null, line smallint not null, subject_kind text not null,
  subject_id uuid not null, primary key (entry_id, line)
);
create index entry_subject_idx on entry_subject (subject_id);
