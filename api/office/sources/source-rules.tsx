// A source beside the rules of its scheme, and what was seen when somebody looked at it.
import type { SchemeRuleResult } from '#trade/schemes/rule-results.ts'
import type { InspectionRow } from '../../sources/inspections.ts'
import { Table } from '../layout.tsx'

/** Each rule that applies today, with its answer and the text that asks for it. */
export function SchemeRules(props: { scheme: string | null; results: SchemeRuleResult[] }) {
  const { scheme, results } = props
  if (scheme === null) {
    return <p class="note">No scheme is named, so that no scheme’s rules are looked at.</p>
  }
  const schemes = <a href="/sources/schemes">Rules of schemes</a>
  if (results.length === 0) {
    return (
      <p class="note">
        No rule of {scheme} that is known here is about this source. {schemes}
      </p>
    )
  }
  return (
    <>
      <Table caption="Rules of its scheme, today" head={['Rule', 'Result', 'Why', 'Written in']}>
        {results.map((result) => (
          <tr>
            <td>{result.rule}</td>
            <td class="whole">{result.result}</td>
            <td>{result.because}</td>
            <td>
              {result.citation} ({result.known})
            </td>
          </tr>
        ))}
      </Table>
      <p class="note">
        What stands on record, beside the text; whether a source is certified is the authority’s to
        say. {schemes}
      </p>
    </>
  )
}

/** What was seen, the latest first. */
export function Inspections({ inspections }: { inspections: InspectionRow[] }) {
  if (inspections.length === 0) return <p class="note">No inspection is recorded.</p>
  const head = ['Day', 'Kind', 'By', 'Result', 'Distance', 'What stands there', 'Note']
  return (
    <Table caption="Inspections" head={head}>
      {inspections.map((seen) => (
        <tr>
          <td class="whole">{seen.inspected_on}</td>
          <td>{seen.kind}</td>
          <td>{seen.party ?? 'the nursery'}</td>
          <td>{seen.result}</td>
          <td class="whole">
            {seen.isolation_metres === null ? 'not measured' : `${seen.isolation_metres} m`}
          </td>
          <td class="lines">{seen.nearby}</td>
          <td class="lines">{seen.note}</td>
        </tr>
      ))}
    </Table>
  )
}
