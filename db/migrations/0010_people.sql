-- Who may come in: roles, sign-ins, sessions, devices and their keys, links for auditors, and the
-- request that a second person must confirm before a hold is lifted. Every secret is kept as a
-- hash: somebody who reads these tables can neither sign in nor write as a device.

alter table person
  add column role text not null default 'crew'
    check (role in ('administrator', 'office', 'lead hand', 'crew', 'auditor'));

-- Trust: whoever can write here can sign in as anybody; the reader cannot even read it.
create table sign_in (
  person_id uuid primary key references person,
  sign_in_name text not null unique check (sign_in_name = lower(sign_in_name)),
  password_hash text check (password_hash like '$argon2id$%'),
  password_set_at timestamptz
);

-- Trust: whoever holds the link sets the password of this person, once, until it expires.
create table password_link (
  person_id uuid primary key references person,
  token_hash bytea not null unique check (octet_length(token_hash) = 32),
  made_by uuid not null,
  expires_at timestamptz not null
);

-- Trust: whoever holds the link sees what its scope names until it expires, and nothing else.
create table audit_link (
  link_id uuid primary key,
  token_hash bytea not null unique check (octet_length(token_hash) = 32),
  auditor_name text not null,
  made_by uuid not null,
  made_at timestamptz not null,
  expires_at timestamptz not null,
  last_opened_at timestamptz,
  ended_at timestamptz
);
create table audit_scope (
  link_id uuid not null references audit_link,
  kind text not null check (kind in ('lot', 'block', 'vine')),
  id uuid not null,
  position integer not null default 0 check ((kind = 'vine') = (position > 0)),
  primary key (link_id, kind, id, position)
);

-- Trust: whoever holds a session's token is that person, or that auditor, until it ends.
create table session (
  session_id uuid primary key,
  token_hash bytea not null unique check (octet_length(token_hash) = 32),
  person_id uuid references person,
  audit_link_id uuid references audit_link,
  browser text not null,
  began_at timestamptz not null,
  last_used_at timestamptz not null,
  expires_at timestamptz not null,
  proven_at timestamptz,
  check ((person_id is null) <> (audit_link_id is null))
);
create index session_person_idx on session (person_id);

-- Trust: whoever holds the code may bring one key in; it counts for nothing until the office has
-- compared the key's fingerprint.
create table enrolment (
  enrolment_id uuid primary key,
  code_hash bytea not null unique check (octet_length(code_hash) = 32),
  device_name text not null,
  made_by uuid not null,
  expires_at timestamptz not null,
  wrong_codes integer not null default 0,
  device_id uuid references device,
  ended_at timestamptz
);

-- Trust: public_key is not secret, but whoever can change it can write as that device.
alter table device
  add column kind text not null default 'machine' check (kind in ('desk', 'phone', 'machine')),
  add column public_key bytea unique check (octet_length(public_key) = 65),
  add column confirmed_at timestamptz,
  add column last_number bigint not null default 0,
  add column last_body_hash bytea,
  add column last_seen_at timestamptz,
  add column may_read boolean not null default true,
  add column write_kinds text[];

create table release_request (
  request_id uuid primary key,
  hold_id uuid not null,
  reason text not null,
  asked_by uuid not null references person,
  asked_at timestamptz not null,
  confirmed_by uuid references person,
  ended_at timestamptz,
  check (confirmed_by is null or confirmed_by <> asked_by)
);
create unique index release_request_open_idx on release_request (hold_id) where ended_at is null;

-- Counts tries when several processes serve one database; losing it in a crash does no harm.
create unlogged table rate_limit (
  key varchar(255) primary key,
  points integer not null default 0,
  expire bigint
);

-- Facts: which key each device was enrolled with, its revocation, and entries of a revoked device
-- that the office took in all the same.
create table device_key (
  entry_id uuid primary key, device_id uuid not null, public_key text, person_id uuid not null,
  enrolled_at timestamptz not null
);
create index device_key_idx on device_key (device_id);
create table device_revocation (
  entry_id uuid primary key, device_id uuid not null, reason text not null,
  person_id uuid not null, revoked_at timestamptz not null
);
create index device_revocation_idx on device_revocation (device_id);
create table entry_acceptance (
  entry_id uuid primary key, accepted_id uuid not null, device_id uuid not null,
  reason text not null, person_id uuid not null, accepted_at timestamptz not null
);
create index entry_acceptance_idx on entry_acceptance (accepted_id);
alter table hold_lift add column second_person_id uuid;

grant select, insert, delete on device_key, device_revocation, entry_acceptance to canemark_app;
grant select on device_key, device_revocation, entry_acceptance to canemark_reader;
grant update (role) on person to canemark_app;
grant select, insert, update, delete on sign_in, password_link, session, rate_limit
  to canemark_app;
grant select, insert on audit_link, audit_scope, enrolment, release_request to canemark_app;
grant update (last_opened_at, ended_at) on audit_link to canemark_app;
grant update (wrong_codes, device_id, ended_at) on enrolment to canemark_app;
grant update (confirmed_by, ended_at) on release_request to canemark_app;
grant update (public_key, confirmed_at, last_number, last_body_hash, last_seen_at)
  on device to canemark_app;
grant select (kind, public_key, confirmed_at, last_seen_at, may_read, write_kinds)
  on device to canemark_reader;
grant select on release_request, audit_scope to canemark_reader;
