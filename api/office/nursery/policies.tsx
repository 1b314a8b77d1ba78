// Policies: the numbers that judgement rests on, each with its source and who says otherwise.
import type { Context } from 'hono'
import { POLICY_KEYS } from '#trade/policies.ts'
import type { Policy, PolicyKey } from '#trade/policies.ts'
import { localDay } from '#trade/zone-time.ts'
import { recordAtDesk } from '../../journal/desk.ts'
import { policyProblems } from '../../nursery/checks.ts'
import { readLadderLine } from '../../nursery/policy-values.ts'
import type { PolicySettingRow, StoredPolicyValue } from '../../nursery/policy-values.ts'
import { isPolicyKey, nurseryTimeZone, policyHistory, readPolicies } from '../../nursery/read.ts'
import type { PoliciesInForce } from '../../nursery/read.ts'
import type { Env } from '../../platform/services.ts'
import { deskOf } from '../desk.ts'
import { freshForm } from '../form.ts'
import type { FormReader, FormState } from '../form.ts'
import { DayField, FormProblems, show, submit, TextField } from '../form-page.tsx'
import { Page, Table } from '../layout.tsx'
import { found } from '../path-id.ts'
import { afterSaving, Saved } from '../saved.tsx'
import { typedName } from '../typed-text.ts'
import { NurseryMenu } from './menu.tsx'
import { PolicyValueField } from './policy-field.tsx'
import { policyNames, policyValueTyped, policyValueWords } from './policy-words.ts'
import { typedNames } from './typed-names.ts'

/** Shows all policies in force. */
export async function showPolicies(c: Context<Env>) {
  const { db, clock } = c.get('services')
  const inForce = await readPolicies(db, clock.now())
  return show(
    c,
    <Page
      c={c}
      title="Policies"
      lead={
        'The numbers that every judgement quotes. Each begins with a published figure, or says ' +
        'that there is none; set your own with its source.'
      }
    >
      <NurseryMenu at="/nursery/policies" />
      <Saved c={c} />
      <RefusedSettings inForce={inForce} />
      <Table
        caption="In force today"
        head={['Policy', 'Value', 'Set', 'Source', 'Sources that disagree']}
      >
        {POLICY_KEYS.map((key) => (
          <PolicyLine policy={inForce.policies[key]} inForce={inForce} />
        ))}
      </Table>
    </Page>,
  )
}

function PolicyLine({ policy, inForce }: { policy: Policy; inForce: PoliciesInForce }) {
  const own = settingInForce(inForce, policy.key)
  return (
    <tr>
      <th scope="row">
        <a href={`/nursery/policies/${policy.key}`}>{policyNames[policy.key]}</a>
      </th>
      <td class="lines">{policyValueWords(policy)}</td>
      <td>{own === undefined ? 'default' : `here, from ${own.effective_from}`}</td>
      <td>
        {policy.source}
        <p class="hint">{policy.sourceNote}</p>
      </td>
      <td>{policy.disagreement ?? ''}</td>
    </tr>
  )
}

function settingInForce(inForce: PoliciesInForce, key: PolicyKey): PolicySettingRow | undefined {
  const refused = inForce.refused.some(({ setting }) => setting.key === key)
  return refused ? undefined : inForce.settings.find((setting) => setting.key === key)
}

function RefusedSettings({ inForce }: { inForce: PoliciesInForce }) {
  if (inForce.refused.length === 0) return null
  return (
    <div class="care">
      <p>These settings make no sense and are left out, so that the default stands:</p>
      <ul>
        {inForce.refused.map(({ key, message, setting }) => (
          <li>
            {setting.key} (from {setting.effective_from}): {key} {message}
          </li>
        ))}
      </ul>
    </div>
  )
}

/** Shows one policy: its history, and the form that sets it. */
export async function showPolicyForm(c: Context<Env>) {
  const { db, clock } = c.get('services')
  const key = keyInPath(c)
  const { policies } = await readPolicies(db, clock.now())
  const today = localDay(clock.now().getTime(), await nurseryTimeZone(db))
  const start = { value: policyValueTyped(policies[key]), effectiveFrom: today }
  return show(c, await policyPage(c, key, freshForm(start)))
}

/** Sets one policy. */
export function savePolicy(c: Context<Env>) {
  const key = keyInPath(c)
  return submit(c, {
    save: (form) => save(c, key, form),
    page: (form) => policyPage(c, key, form),
  })
}

function keyInPath(c: Context<Env>): PolicyKey {
  const key = c.req.param('key') ?? ''
  return found(isPolicyKey(key) ? key : null, 'policy')
}

async function save(c: Context<Env>, key: PolicyKey, form: FormReader): Promise<string> {
  const { db, clock } = c.get('services')
  const { policies, settings } = await readPolicies(db, clock.now())
  const source = typedName(form, 'source', 'the source')
  const effectiveFrom = form.day('effectiveFrom', 'the first day')
  const value = typedValue(form, policies[key])
  if (value !== null) form.addProblems(policyProblems(settings, { key, value, source }))
  form.check()
  if (value === null) throw new Error('a value without a problem is there')
  await recordAtDesk(db, deskOf(c), [
    { kind: 'policy.set', body: { key, value, source, effectiveFrom } },
  ])
  return afterSaving('/nursery/policies', 1)
}

/** The value typed; null when it is not of its kind, which is then a problem of the field. */
function typedValue(form: FormReader, policy: Policy): StoredPolicyValue | null {
  if (typeof policy.value === 'boolean') {
    return form.choice('value', 'yes or no', ['yes', 'no']) === 'yes'
  }
  if (typeof policy.value === 'number') {
    const value = form.optionalNumber('value', 'the value', -1e9, 1e9)
    if (form.raw('value') === '') form.problem('value', `the value is needed, in ${policy.unit}`)
    return value
  }
  const lines = typedNames(form, 'value', 'the order of classes', 50)
  const wrong = lines.filter((line) => readLadderLine(line, '-') === null)
  for (const line of wrong) {
    const message = `“${line}” is no scheme with its classes: write scheme: strictest > … > laxest`
    form.problem('value', message)
  }
  if (lines.length === 0) form.problem('value', 'write at least one scheme with its classes')
  return wrong.length > 0 || lines.length === 0 ? null : lines
}

async function policyPage(c: Context<Env>, key: PolicyKey, form: FormState) {
  const { db, clock } = c.get('services')
  const { policies } = await readPolicies(db, clock.now())
  const history = await policyHistory(db, key)
  const policy: Policy = policies[key]
  return (
    <Page c={c} title={policyNames[key]} lead={policy.sourceNote}>
      <dl class="facts">
        <dt>Today</dt>
        <dd class="lines">{policyValueWords(policy)}</dd>
        <dt>Source</dt>
        <dd>{policy.source}</dd>
        {policy.disagreement === undefined ? null : (
          <>
            <dt>Others say</dt>
            <dd>{policy.disagreement}</dd>
          </>
        )}
      </dl>
      <h2>Set it for this nursery</h2>
      <form method="post">
        <FormProblems form={form} />
        <PolicyValueField form={form} policy={policy} />
        <TextField
          form={form}
          name="source"
          label="Source"
          hint="who says so: a publication, a rule, or your own trials"
          size={60}
          required
        />
        <DayField form={form} name="effectiveFrom" label="From the day" required />
        <p class="actions">
          <button class="main">Save</button>
          <a class="button" href="/nursery/policies">
            Cancel
          </a>
        </p>
      </form>
      <History history={history} />
    </Page>
  )
}

function History({ history }: { history: PolicySettingRow[] }) {
  if (history.length === 0) return null
  return (
    <Table caption="Set here before" head={['From', 'Value', 'Source']}>
      {history.map((setting) => (
        <tr>
          <td>{setting.effective_from}</td>
          <td class="lines">
            {Array.isArray(setting.value) ? setting.value.join('\n') : String(setting.value)}
          </td>
          <td>{setting.source}</td>
        </tr>
      ))}
    </Table>
  )
}
