-- Checkpoints that leave the house by mail, and stamps of their time from an outside authority.

-- `stamp` is no way of sending, but it is asked for, fails and is tried again as these are.
alter table checkpoint_delivery drop constraint checkpoint_delivery_way_check;
alter table checkpoint_delivery add constraint checkpoint_delivery_way_check
  check (way in ('folder', 'post', 'mail', 'stamp'));

-- Answers of a time-stamping authority (RFC 3161), byte for byte, to a question about a note.
-- Trust: what counts is signed inside `answer`; the columns beside it only spare reading it.
create table checkpoint_stamp (
  size bigint not null,
  key_number smallint not null,
  asked_at timestamptz not null,
  -- The time and the name as the stamp itself says them.
  stamped_at timestamptz not null,
  authority text not null,
  -- Was the authority's certificate held against certificates that the nursery trusts?
  is_trusted boolean not null,
  answer bytea not null check (octet_length(answer) between 1 and 65536),
  primary key (size, key_number, asked_at),
  foreign key (size, key_number) references checkpoint
);

create trigger checkpoint_stamp_no_change before update or delete on checkpoint_stamp
  for each row execute function refuse_change();
create trigger checkpoint_stamp_no_truncate before truncate on checkpoint_stamp
  for each statement execute function refuse_change();
alter table checkpoint_stamp enable always trigger checkpoint_stamp_no_change;
alter table checkpoint_stamp enable always trigger checkpoint_stamp_no_truncate;

grant select, insert on checkpoint_stamp to canemark_app;
grant select on checkpoint_stamp to canemark_reader;
