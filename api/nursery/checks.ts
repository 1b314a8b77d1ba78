// What the desk refuses about the nursery's particulars, varieties, firms, people and policies.
import { checkPolicies } from '#trade/policies.ts'
import type { PolicyKey } from '#trade/policies.ts'
import { isTimeZone } from '#trade/zone-time.ts'
import type { FieldProblem } from '../platform/errors.ts'
import { foldName } from './closest-name.ts'
import { overridesOf } from './policy-values.ts'
import type { PolicySettingRow, StoredPolicyValue } from './policy-values.ts'
import type { PartyLine, PersonLine, VarietyLine } from './read.ts'

/** The nursery's particulars as typed. */
export function profileProblems(profile: {
  country: string
  labelHost: string | null
  timeZone: string
}): FieldProblem[] {
  const problems: FieldProblem[] = []
  if (!/^[A-Z]{2}$/.test(profile.country)) {
    const message = 'write the two capital letters of the country, like ES'
    problems.push({ field: 'country', message })
  }
  if (profile.labelHost !== null && !isHost(profile.labelHost)) {
    const message =
      'write only the host, like labels.example.org: small letters, no https:// and no path'
    problems.push({ field: 'labelHost', message })
  }
  if (!isTimeZone(profile.timeZone)) {
    const message = `“${profile.timeZone}” is no time zone: write it like Europe/Madrid`
    problems.push({ field: 'timeZone', message })
  }
  return problems
}

/** A name or synonym may mean one variety only; capitals and accents make no difference. */
export function varietyProblems(
  known: readonly VarietyLine[],
  variety: { varietyId: string | null; name: string; synonyms: readonly string[] },
): FieldProblem[] {
  const owners = new Map<string, string>()
  for (const other of known) {
    if (other.variety_id === variety.varietyId) continue
    for (const spelling of [other.name, ...other.synonyms]) {
      owners.set(foldName(spelling), other.name)
    }
  }
  const problems: FieldProblem[] = []
  const seen = new Set<string>()
  const spellings = [
    { field: 'name', text: variety.name },
    ...variety.synonyms.map((text) => ({ field: 'synonyms', text })),
  ]
  for (const { field, text } of spellings) {
    if (text === '') continue
    const owner = owners.get(foldName(text))
    if (owner !== undefined) {
      const message = `“${text}” is a name of the variety ${owner}: correct that one instead`
      problems.push({ field, message })
    } else if (seen.has(foldName(text))) {
      problems.push({ field, message: `“${text}” is given twice: write each name once` })
    }
    seen.add(foldName(text))
  }
  return problems
}

/** Two firms or crews of one role may not have the same name. */
export function partyProblems(
  known: readonly PartyLine[],
  party: { partyId: string | null; name: string; role: string },
): FieldProblem[] {
  const twin = known.find(
    (other) =>
      other.party_id !== party.partyId &&
      other.role === party.role &&
      foldName(other.name) === foldName(party.name),
  )
  if (twin === undefined || party.name === '') return []
  const message = `the ${twin.role} ${twin.name} is registered already: add what tells them apart`
  return [{ field: 'name', message }]
}

/** Two people who work here may not have the same name: nobody could tell who did a thing. */
export function personProblems(
  known: readonly PersonLine[],
  person: { personId: string | null; name: string },
): FieldProblem[] {
  const twin = known.find(
    (other) =>
      other.person_id !== person.personId &&
      other.ended_at === null &&
      foldName(other.name) === foldName(person.name),
  )
  if (twin === undefined || person.name === '') return []
  const message = `${twin.name} works here already: add what tells the two apart`
  return [{ field: 'name', message }]
}

/** A block's name is its own. */
export function blockProblems(
  known: readonly { block_id: string; name: string }[],
  block: { blockId: string | null; name: string },
): FieldProblem[] {
  const twin = known.find(
    (other) => other.block_id !== block.blockId && foldName(other.name) === foldName(block.name),
  )
  if (twin === undefined || block.name === '') return []
  return [{ field: 'name', message: `there is a block ${twin.name} already: choose another name` }]
}

/** A policy's new value, beside the settings in force of the others. */
export function policyProblems(
  inForce: readonly PolicySettingRow[],
  setting: { key: PolicyKey; value: StoredPolicyValue; source: string },
): FieldProblem[] {
  const others = inForce.filter((row) => row.key !== setting.key)
  const before = new Set(checkPolicies(overridesOf(others)).map(({ message }) => message))
  return checkPolicies(overridesOf([...others, setting]))
    .filter(({ message }) => !before.has(message))
    .map(({ key, message }) => ({
      field: 'value',
      message: key === setting.key ? `the value ${message}` : `${key} ${message}`,
    }))
}

function isHost(text: string): boolean {
  return text.length <= 100 && /^[a-z0-9]([a-z0-9.-]*[a-z0-9])?(:\d{1,5})?$/.test(text)
}
