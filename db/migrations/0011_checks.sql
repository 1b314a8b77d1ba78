-- Facts about samples that were examined, blades that were disinfected, ties that were released and
-- handovers that the other side confirmed.

create table viability_check (
  entry_id uuid primary key, lot_id uuid not null, bundle_id uuid not null, method text not null,
  sampled_count integer not null, live_count integer not null, forced_days integer,
  person_id uuid not null, checked_at timestamptz not null
);
create index viability_check_lot_idx on viability_check (lot_id);

-- first_grams and second_grams: fresh and dry (oven), or at cutting and now (weighing again).
create table moisture_check (
  entry_id uuid primary key, lot_id uuid not null, bundle_id uuid not null,
  measured_by text not null, basis text, first_grams double precision,
  second_grams double precision, percent double precision, person_id uuid not null,
  checked_at timestamptz not null
);
create index moisture_check_lot_idx on moisture_check (lot_id);

create table tool_cleaning (
  entry_id uuid primary key, knife_id uuid, disinfectant text, row_id uuid, position integer,
  person_id uuid not null, device_id uuid not null, cleaned_at timestamptz not null
);
create index tool_cleaning_knife_idx on tool_cleaning (knife_id, cleaned_at);
create index tool_cleaning_person_idx on tool_cleaning (person_id, cleaned_at);

create table tie_release (
  entry_id uuid primary key, row_id uuid not null, position integer not null, graft_id uuid,
  person_id uuid not null, released_at timestamptz not null
);
create index tie_release_vine_idx on tie_release (row_id, position);

create table wood_acceptance (
  entry_id uuid primary key, handover_id uuid not null, lot_id uuid not null,
  bundle_id uuid not null, unit text not null, count integer not null, person_id uuid not null,
  accepted_at timestamptz not null
);
create index wood_acceptance_handover_idx on wood_acceptance (handover_id);

grant select, insert, delete on viability_check, moisture_check, tool_cleaning, tie_release,
  wood_acceptance to canemark_app;
grant select on viability_check, moisture_check, tool_cleaning, tie_release, wood_acceptance
  to canemark_reader;
