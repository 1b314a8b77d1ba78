-- What settling counts beside the findings, entry by entry in the order of the journal, so that no
-- device's entries are ever counted twice over. All of it can be emptied and counted again.

-- The journal index up to which entries are counted; no row: none is.
create table counted_until (
  only_row boolean primary key default true check (only_row), next_index bigint not null
);

-- Unbroken runs of a device's counter. A gap between two runs shows entries that never came.
create table device_run (
  device_id uuid not null, from_counter bigint not null, to_counter bigint not null,
  primary key (device_id, from_counter)
);

-- Counters that a device gave to more than one entry.
create table device_counter_twice (
  device_id uuid not null, counter bigint not null, primary key (device_id, counter)
);

-- Entries of a device recorded on one day (UTC) whose time is far from when they were recorded.
create table device_time_off (
  device_id uuid not null, recorded_on date not null, what text not null,
  entries integer not null, worst_minutes integer not null,
  primary key (device_id, recorded_on, what)
);

-- Which wood a knife has cut, day by day: the way from held wood to what the blade touched next.
create index graft_knife_idx on graft (knife_id, grafted_at) where knife_id is not null;

-- Wood that came into a hand: few rows among a lot's many.
create index movement_hand_idx on movement (lot_id, occurred_at)
  where account_kind = 'holder' and count > 0;

grant select, insert, delete on device_run, device_counter_twice to canemark_app;
grant select, insert, update on counted_until, device_time_off to canemark_app;
grant select
  on counted_until, device_run, device_counter_twice, device_time_off to canemark_reader;
