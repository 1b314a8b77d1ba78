-- Fills the journal from an exported file, keeping each entry's index and time of recording.
-- Trust: whoever may call this can choose recorded_at; only the owner may, who can do so anyway.
-- The app's own way stays append_entries(), where the server's clock decides.

create function import_entries(
  starts_at bigint, ids uuid[], kinds text[], vs smallint[], occurred timestamptz[],
  devices uuid[], counters bigint[], persons uuid[], canonicals bytea[], hashes bytea[],
  recorded timestamptz[]
) returns void
language plpgsql set search_path = public, pg_temp as $$
begin
  perform pg_advisory_xact_lock(7263001);
  if starts_at <> (select coalesce(max(journal_index) + 1, 0) from entry) then
    raise exception 'the next entry of the journal is not %', starts_at;
  end if;
  insert into entry (journal_index, id, kind, v, occurred_at, device_id, device_counter,
                     person_id, canonical, leaf_hash, recorded_at)
  select starts_at + row.nr - 1, row.id, row.kind, row.v, row.occurred, row.device, row.counter,
         row.person, row.canonical, row.hash, row.recorded
  from unnest(ids, kinds, vs, occurred, devices, counters, persons, canonicals, hashes, recorded)
    with ordinality as row(id, kind, v, occurred, device, counter, person, canonical, hash,
                           recorded, nr);
end $$;
revoke execute on function import_entries from public;
