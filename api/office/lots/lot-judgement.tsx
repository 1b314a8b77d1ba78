// Whether a lot may be used: the verdict, every reason, what to do, and whose numbers decided.
import type { Judgement } from '#trade/judge.ts'
import { VERDICT_WORDS_EN } from '#trade/judge-words.en.ts'
import type { Policies, Policy, PolicyKey } from '#trade/policies.ts'
import type { ReasonInWords } from '../../lots/judge-lots.ts'
import { VerdictMark } from '../layout.tsx'
import { policyNames, policyValueWords } from '../nursery/policy-words.ts'

/** The judgement with its reasons in words. */
export function LotJudgement(props: {
  judgement: Judgement
  reasons: ReasonInWords[]
  policies: Policies
}) {
  const keys = [...new Set(props.reasons.flatMap((reason) => reason.policies))]
  return (
    <section aria-labelledby="verdict">
      <h2 id="verdict">
        May it be used? <VerdictMark verdict={props.judgement.verdict} />
      </h2>
      {props.reasons.length === 0 ? (
        <p>Nothing speaks against it.</p>
      ) : (
        <ul class="reasons">
          {props.reasons.map((reason) => (
            <li>
              <strong>{VERDICT_WORDS_EN[reason.verdict]}:</strong> {reason.sentence} {reason.todo}
            </li>
          ))}
        </ul>
      )}
      {keys.length === 0 ? null : <PolicySources keys={keys} policies={props.policies} />}
    </section>
  )
}

/** The numbers that decided, each with its source and with who says otherwise. */
export function PolicySources(props: { keys: readonly PolicyKey[]; policies: Policies }) {
  const policies = props.keys.map((key): Policy => props.policies[key])
  const disagreements = [...new Set(policies.flatMap((policy) => policy.disagreement ?? []))]
  return (
    <details>
      <summary>Whose numbers these are</summary>
      <ul>
        {policies.map((policy) => (
          <li>
            {policyNames[policy.key]} {policyValueWords(policy)}. {policy.source}.{' '}
            {policy.sourceNote}
          </li>
        ))}
      </ul>
      {disagreements.map((text) => (
        <p class="note">Sources disagree. {text}</p>
      ))}
      <p class="hint">
        <a href="/nursery/policies">Change a number</a> for this nursery.
      </p>
    </details>
  )
}
