// Reads the nursery's particulars, varieties, firms and people, and the numbers it has set.
import { sql } from 'kysely'
import { localDay } from '#trade/zone-time.ts'
import type { Policies } from '#trade/policies.ts'
import { DEFAULT_POLICIES } from '#trade/policy-defaults.ts'
import type { Database } from '../../db/connect.ts'
import { policiesFrom } from './policy-values.ts'
import type { PolicySettingRow, RefusedSetting } from './policy-values.ts'

/** The nursery as it prints on labels, by the last description. */
export type NurseryProfile = {
  name: string
  address: string
  country: string
  operator_number: string | null
  certification_body: string | null
  label_host: string | null
  time_zone: string
}

/** The nursery's particulars, or null when nobody has described it yet. */
export async function readNursery(db: Database): Promise<NurseryProfile | null> {
  const row = await db
    .selectFrom('nursery_now')
    .select(['name', 'address', 'country', 'operator_number', 'certification_body'])
    .select(['label_host', 'time_zone'])
    .executeTakeFirst()
  return row ?? null
}

/** The IANA time zone that the nursery's days are counted in; UTC while none is set. */
export async function nurseryTimeZone(db: Database): Promise<string> {
  const row = await db.selectFrom('nursery_now').select('time_zone').executeTakeFirst()
  return row?.time_zone ?? 'UTC'
}

/** What a variety is grown for. */
export type VarietyUse = 'scion' | 'rootstock' | 'both'

/** A variety by its last registration. */
export type VarietyLine = {
  variety_id: string
  name: string
  synonyms: string[]
  use: VarietyUse
}

/** All varieties, by name. */
export async function listVarieties(db: Database): Promise<VarietyLine[]> {
  const rows = await sql<VarietyLine>`
    select variety_id, name, synonyms, use from variety_now order by lower(name), variety_id
  `.execute(db)
  return rows.rows
}

/** What a firm or crew is to the nursery. */
export const partyRoles = ['supplier', 'customer', 'crew', 'laboratory', 'authority'] as const
export type PartyRole = (typeof partyRoles)[number]

/** A firm or crew by its last registration. */
export type PartyLine = {
  party_id: string
  name: string
  role: PartyRole
  registration_number: string | null
  note: string
}

/** Firms and crews by name, all or those of one role. */
export async function listParties(db: Database, role?: PartyRole): Promise<PartyLine[]> {
  const rows = await sql<PartyLine>`
    select party_id, name, role, registration_number, note from party_now
    where ${role ?? null}::text is null or role = ${role ?? null}
    order by lower(name), party_id`.execute(db)
  return rows.rows
}

/** A person who works here, or worked here until `ended_at`. */
export type PersonLine = {
  person_id: string
  name: string
  created_at: Date
  ended_at: Date | null
}

/** People by name; `current` leaves out those who have left. */
export async function listPeople(
  db: Database,
  options: { current?: boolean } = {},
): Promise<PersonLine[]> {
  const all = options.current !== true
  const rows = await sql<PersonLine>`
    select person_id, name, created_at, ended_at from person
    where ${all} or ended_at is null
    order by ended_at is not null, lower(name), person_id`.execute(db)
  return rows.rows
}

/** The policies in force on a day, and settings that were left out because they make no sense. */
export type PoliciesInForce = {
  policies: Policies
  settings: PolicySettingRow[]
  refused: RefusedSetting[]
}

/**
 * The policies in force at an instant, by the nursery's calendar: the published defaults with the
 * nursery's own settings over them. A setting that judgement cannot use (one that came from a
 * device, say) is left out and told in `refused`, so that the default stands.
 */
export async function readPolicies(db: Database, now: Date): Promise<PoliciesInForce> {
  const day = localDay(now.getTime(), await nurseryTimeZone(db))
  const rows = await sql<PolicySettingRow>`
    select distinct on (key) key, value, source, effective_from, occurred_at
    from policy_setting where effective_from <= ${day}::date
    order by key, effective_from desc, occurred_at desc, entry_id desc`.execute(db)
  return { ...policiesFrom(rows.rows), settings: rows.rows }
}

/** Everything this nursery has set for one policy, the latest first, future ones included. */
export async function policyHistory(db: Database, key: string): Promise<PolicySettingRow[]> {
  const rows = await sql<PolicySettingRow>`
    select key, value, source, effective_from, occurred_at
    from policy_setting where key = ${key}
    order by effective_from desc, occurred_at desc, entry_id desc`.execute(db)
  return rows.rows
}

/** Is this the key of a policy? */
export function isPolicyKey(key: string): key is keyof Policies {
  return Object.hasOwn(DEFAULT_POLICIES, key)
}
