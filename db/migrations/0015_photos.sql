-- Photos that phones send beside their entries. They stand in no entry: the journal does not know
-- them, and a rebuild leaves them alone.

create table photo (
  entry_id uuid not null,
  sha256 bytea not null check (octet_length(sha256) = 32),
  media_type text not null check (media_type in ('image/jpeg', 'image/png', 'image/webp')),
  bytes bytea not null check (octet_length(bytes) <= 2097152),
  device_id uuid not null,
  received_at timestamptz not null,
  primary key (entry_id, sha256)
);
-- Pictures are compressed already.
alter table photo alter column bytes set storage external;

grant select, insert on photo to canemark_app;
grant select on photo to canemark_reader;
