-- Dossiers of recalls, and recalls opened to auditors. A recall has no id of its own: subject_id and
-- audit_scope.id are worked out of its question (where it begins, the agent, the day), so that one
-- question is one subject.

alter table dossier drop constraint dossier_subject_kind_check;
alter table dossier add constraint dossier_subject_kind_check
  check (subject_kind in ('lot', 'vine', 'row', 'block', 'recall'));

-- question: the query of the recall's address, for the auditor's list.
alter table audit_scope drop constraint audit_scope_kind_check;
alter table audit_scope add constraint audit_scope_kind_check
  check (kind in ('lot', 'block', 'vine', 'recall'));
alter table audit_scope add column question text;
alter table audit_scope add check ((kind = 'recall') = (question is not null));
