-- Cuts and disinfections by their blade: the tagged knife, or else the knife in that person's hand.

create index graft_blade_idx on graft ((coalesce(knife_id, person_id)), grafted_at);
create index tool_cleaning_blade_idx on tool_cleaning
  ((coalesce(knife_id, person_id)), cleaned_at);

-- A tagged knife is looked up by its blade as well.
drop index graft_knife_idx;
