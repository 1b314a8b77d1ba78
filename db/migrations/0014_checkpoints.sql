-- What makes the journal tamper-evident: hashes of its tree, signed checkpoints, the public keys
-- they are signed by, where they were sent, and the dossiers that were handed out.

-- Hashes of perfect subtrees, at each fourth level, so that a proof reads a few dozen rows however
-- long the journal is. Derived: leaves stand in `entry`; the table can be emptied and filled again.
create table tree_node (
  level smallint not null check (level > 0 and level % 4 = 0),
  node_index bigint not null check (node_index >= 0),
  hash bytea not null check (octet_length(hash) = 32),
  primary key (level, node_index)
);

-- Public halves of the keys that sign checkpoints; the private ones are files of the server.
-- Trust: whoever adds a row makes another key look like ours, but only to somebody who takes our
-- keys from this table. `succession` is the note by which the key before named this one.
create table signing_key (
  key_number smallint primary key check (key_number >= 0),
  name text not null,
  key_hash bytea not null check (octet_length(key_hash) = 4),
  public_key bytea not null unique check (octet_length(public_key) = 32),
  succession text,
  reason text not null,
  made_at timestamptz not null,
  unique (name, key_hash)
);

create table checkpoint (
  size bigint not null check (size > 0),
  key_number smallint not null references signing_key,
  root bytea not null check (octet_length(root) = 32),
  note text not null,
  made_at timestamptz not null,
  primary key (size, key_number)
);

create trigger signing_key_no_change before update or delete on signing_key
  for each row execute function refuse_change();
create trigger signing_key_no_truncate before truncate on signing_key
  for each statement execute function refuse_change();
alter table signing_key enable always trigger signing_key_no_change;
alter table signing_key enable always trigger signing_key_no_truncate;
create trigger checkpoint_no_change before update or delete on checkpoint
  for each row execute function refuse_change();
create trigger checkpoint_no_truncate before truncate on checkpoint
  for each statement execute function refuse_change();
alter table checkpoint enable always trigger checkpoint_no_change;
alter table checkpoint enable always trigger checkpoint_no_truncate;

-- How far each way of sending has come.
create table checkpoint_delivery (
  way text primary key check (way in ('folder', 'post')),
  size bigint not null,
  tried_at timestamptz not null,
  delivered_at timestamptz,
  problem text
);

-- Dossiers as they were handed out; the newest are kept, older ones are with whoever got them.
create table dossier (
  dossier_id uuid primary key,
  subject_kind text not null check (subject_kind in ('lot', 'vine', 'row', 'block')),
  subject_id uuid not null,
  position integer not null default 0 check ((subject_kind = 'vine') = (position > 0)),
  made_at timestamptz not null,
  person_id uuid,
  audit_link_id uuid,
  size bigint not null,
  entries integer not null,
  content_sha256 bytea not null check (octet_length(content_sha256) = 32),
  packed_json bytea not null,
  pdf bytea not null,
  check ((person_id is null) <> (audit_link_id is null))
);
create index dossier_subject_idx on dossier (subject_kind, subject_id, position, made_at desc);

grant select, insert on tree_node, signing_key, checkpoint to canemark_app;
grant select, insert, update on checkpoint_delivery to canemark_app;
grant select, insert, delete on dossier to canemark_app;
grant select on tree_node, signing_key, checkpoint, checkpoint_delivery to canemark_reader;
