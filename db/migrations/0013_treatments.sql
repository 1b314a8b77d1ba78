-- Facts about treatments of wood, and about the weather that dries it.

-- purposes: what hot water was used against; product, concentration and dose are those of a dip.
-- set_temp_c stands where only the tank's setting is known, treatment_reading where measured.
create table treatment (
  entry_id uuid primary key, treatment text not null, bath_id uuid, place_id uuid,
  purposes text[] not null, set_temp_c double precision, minutes double precision, product text,
  concentration double precision, concentration_unit text, dose text, note text not null,
  person_id uuid not null, treated_at timestamptz not null
);
create index treatment_day_idx on treatment (treated_at);
create index treatment_bath_idx on treatment (bath_id) where bath_id is not null;

create table treated_wood (
  entry_id uuid not null, line smallint not null, lot_id uuid not null, bundle_id uuid not null,
  unit text not null, count integer not null, primary key (entry_id, line)
);
create index treated_wood_lot_idx on treated_wood (lot_id);

create table treatment_reading (
  entry_id uuid not null, line smallint not null, minute double precision not null,
  temp_c double precision not null, primary key (entry_id, line)
);

create table weather_reading (
  entry_id uuid not null, line smallint not null, place_id uuid, site text,
  read_at timestamptz not null, temp_c double precision not null,
  humidity_percent double precision not null, wind_metres_per_second double precision,
  primary key (entry_id, line)
);
create index weather_reading_idx on weather_reading (read_at);

grant select, insert, delete on treatment, treated_wood, treatment_reading, weather_reading
  to canemark_app;
grant select on treatment, treated_wood, treatment_reading, weather_reading to canemark_reader;
