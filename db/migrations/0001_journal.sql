-- The append-only journal, what was set aside, and who writes.
-- Trust: whoever can change `entry` can rewrite history; the app role cannot, it may only append
-- through append_entries(); the owner can, and only checkpoints kept elsewhere would show it.

create table entry (
  journal_index bigint primary key check (journal_index >= 0),
  id uuid not null unique,
  kind text not null,
  v smallint not null,
  occurred_at timestamptz not null,
  device_id uuid not null,
  device_counter bigint not null,
  person_id uuid not null,
  canonical bytea not null,
  leaf_hash bytea not null check (octet_length(leaf_hash) = 32),
  recorded_at timestamptz not null default clock_timestamp()
);
create index entry_device_idx on entry (device_id, device_counter);
create index entry_kind_idx on entry (kind, journal_index);

-- Appends a batch with gapless indexes in commit order: the lock is held until commit, so no
-- reader that follows journal_index can ever skip an entry.
create function append_entries(
  ids uuid[], kinds text[], vs smallint[], occurred timestamptz[], devices uuid[],
  counters bigint[], persons uuid[], canonicals bytea[], hashes bytea[]
) returns bigint
language plpgsql security definer set search_path = public, pg_temp as $$
declare first_index bigint;
begin
  perform pg_advisory_xact_lock(7263001);
  select coalesce(max(journal_index) + 1, 0) into first_index from entry;
  insert into entry (journal_index, id, kind, v, occurred_at, device_id, device_counter,
                     person_id, canonical, leaf_hash)
  select first_index + row.nr - 1, row.id, row.kind, row.v, row.occurred, row.device, row.counter,
         row.person, row.canonical, row.hash
  from unnest(ids, kinds, vs, occurred, devices, counters, persons, canonicals, hashes)
    with ordinality as row(id, kind, v, occurred, device, counter, person, canonical, hash, nr);
  return first_index;
end $$;
revoke execute on function append_entries from public;
grant execute on function append_entries to canemark_app;

create function refuse_change() returns trigger language plpgsql as $$
begin
  raise exception 'the journal is append-only: % on % is refused', tg_op, tg_table_name
    using errcode = 'insufficient_privilege';
end $$;
create trigger entry_no_change before update or delete on entry
  for each row execute function refuse_change();
create trigger entry_no_truncate before truncate on entry
  for each statement execute function refuse_change();
alter table entry enable always trigger entry_no_change;
alter table entry enable always trigger entry_no_truncate;

-- What could not be read as an entry, kept with the reason until a person has dealt with it.
create table set_aside (
  set_aside_id bigint generated always as identity primary key,
  received_at timestamptz not null default clock_timestamp(),
  device_id uuid not null,
  claimed_entry_id text,
  problem_code text not null,
  problem_detail text not null,
  raw bytea not null,
  raw_hash bytea not null unique check (octet_length(raw_hash) = 32),
  dealt_with_at timestamptz,
  dealt_with_by uuid,
  dealt_with_note text
);

-- Names of people live here alone: entries carry ids, so that a name can be put right or erased.
create table person (
  person_id uuid primary key,
  name text not null,
  created_at timestamptz not null default clock_timestamp(),
  ended_at timestamptz
);

-- Trust: whoever holds a device's token can write entries as that device, and as no other.
create table device (
  device_id uuid primary key,
  name text not null,
  token_hash bytea unique check (octet_length(token_hash) = 32),
  created_at timestamptz not null default clock_timestamp(),
  revoked_at timestamptz
);

-- Small settings of this installation that are not facts about wood.
create table installation (
  key text primary key,
  value jsonb not null
);

grant select on entry to canemark_app, canemark_reader;
grant select, insert on set_aside to canemark_app;
grant update (dealt_with_at, dealt_with_by, dealt_with_note) on set_aside to canemark_app;
grant select, insert on person, device, installation to canemark_app;
grant update (name, ended_at) on person to canemark_app;
grant update (name, token_hash, revoked_at) on device to canemark_app;
grant update (value) on installation to canemark_app;
grant select on set_aside, person, installation to canemark_reader;
grant select (device_id, name, created_at, revoked_at) on device to canemark_reader;
