-- Facts about inspections of sources, and the rules of schemes that a nursery has set itself.

create table source_inspection (
  entry_id uuid primary key, source_id uuid not null, kind text not null,
  inspected_on date not null, party_id uuid, result text not null,
  isolation_metres double precision, nearby text not null, note text not null,
  person_id uuid not null, occurred_at timestamptz not null
);
create index source_inspection_idx on source_inspection (source_id, inspected_on);

-- amount null: the rule was taken away. The latest entry for a scheme, topic and class counts.
create table scheme_rule (
  entry_id uuid primary key, scheme text not null, topic text not null, class text,
  amount double precision, citation text not null, occurred_at timestamptz not null
);

grant select, insert, delete on source_inspection, scheme_rule to canemark_app;
grant select on source_inspection, scheme_rule to canemark_reader;
