-- What is made of what: edges from an origin to what came of it, between sources and lots. Ids of
-- sources and lots are drawn from one space, so an edge needs no kinds. Vines hang on through
-- graft and trunk_layer; a field vine that serves as a source links the lots on it to that source.

create view source_standing_row as
  select s.* from source s
  where not exists (
    select 1 from source later
    where later.source_id = s.source_id
      and (later.occurred_at, later.entry_id) > (s.occurred_at, s.entry_id)
  );

create view lineage_edge as
  -- a vine that stands in a source block
  select s.parent_source_id as from_id, s.source_id as to_id, 'stands in'::text as how
  from source_standing_row s where s.parent_source_id is not null
  union all
  -- a source raised from a lot
  select s.origin_lot_id, s.source_id, 'raised from'
  from source_standing_row s where s.origin_lot_id is not null
  union all
  -- a lot cut from a source, or received with its source named
  select l.source_id, l.lot_id, 'cut from' from lot l where l.source_id is not null
  union all
  -- a lot parted from, or combined of, another
  select p.parent_lot_id, p.lot_id, 'part of' from lot_parent p
  union all
  -- buds of a lot on a field vine that serves as a source
  select g.lot_id, s.source_id, 'grafted on'
  from source_standing_row s join graft g on g.row_id = s.row_id and g.position = s.position
  union all
  -- a trunk layer of a field vine that serves as a source
  select t.origin_id, s.source_id, 'trunk of'
  from source_standing_row s
    join trunk_layer t on t.row_id = s.row_id
      and s.position between t.from_position and t.to_position
  where t.origin_id is not null;

grant select on source_standing_row, lineage_edge to canemark_app, canemark_reader;
