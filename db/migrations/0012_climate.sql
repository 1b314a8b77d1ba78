-- Facts about loggers: which stood where from when, how their files are laid out, what they read.

create table logger (
  entry_id uuid primary key, logger_id uuid not null, name text not null, serial text,
  place_id uuid, from_at timestamptz not null, note text not null,
  occurred_at timestamptz not null
);
create index logger_idx on logger (logger_id, from_at);
create index logger_place_idx on logger (place_id);

create table logger_layout (
  entry_id uuid primary key, logger_id uuid not null, layout jsonb not null,
  occurred_at timestamptz not null
);
create index logger_layout_idx on logger_layout (logger_id);

-- The readings of one entry, as it told them: seconds after first_at, hundredths of a degree
-- Celsius, tenths of a per cent of relative humidity.
create table temperature_log (
  entry_id uuid primary key, logger_id uuid not null, first_at timestamptz not null,
  last_at timestamptz not null, seconds integer[] not null, centi_c integer[] not null,
  humidity_tenths integer[], left_out integer not null, occurred_at timestamptz not null
);
create index temperature_log_idx on temperature_log (logger_id, first_at);

create view logger_now as
  select distinct on (logger_id) * from logger
  order by logger_id, occurred_at desc, entry_id desc;

-- Worked out from temperature_log, never a fact: what one logger's readings of one day (UTC) add
-- up to. content_key names the entries and rules it was worked out from, so that a row is either
-- right or not used.
create table climate_day (
  logger_id uuid not null, day date not null, rules_key text not null, content_key text not null,
  sums double precision[] not null, lowest_c double precision, highest_c double precision,
  excursions jsonb not null, primary key (logger_id, day, rules_key)
);

grant select, insert, delete on logger, logger_layout, temperature_log to canemark_app;
grant select, insert, update, delete on climate_day to canemark_app;
grant select on logger, logger_layout, temperature_log, logger_now, climate_day
  to canemark_reader;
grant select on logger_now to canemark_app;
