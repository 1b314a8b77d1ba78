// A table of sources with their standing and latest test.
import type { SourceLine } from '../../sources/read.ts'
import { Table } from '../layout.tsx'

/** One line for each source. */
export function SourceTable({ caption, sources }: { caption: string; sources: SourceLine[] }) {
  const head = [
    'Source',
    'What',
    'Variety',
    'Clone',
    'Class',
    'Registry',
    'Standing',
    'Last test',
    'Lots',
  ]
  return (
    <Table caption={caption} head={head}>
      {sources.map((source) => (
        <tr>
          <td>
            <a href={`/sources/${source.source_id}`}>{source.name}</a>
          </td>
          <td>{source.level}</td>
          <td>{source.variety ?? 'unknown'}</td>
          <td>{source.clone ?? ''}</td>
          <td>{[source.scheme, source.class].filter(Boolean).join(' ')}</td>
          <td>{source.registry_number ?? ''}</td>
          <td>{standingWords(source)}</td>
          <td>{testWords(source)}</td>
          <td class="number">{source.lots}</td>
        </tr>
      ))}
    </Table>
  )
}

function standingWords(source: SourceLine): string {
  const standing = source.standing ?? 'not recorded'
  return source.held ? `${standing}, on hold` : standing
}

function testWords({ last_tested_on, last_results }: SourceLine): string {
  if (last_tested_on === null) return 'none'
  const bad = last_results.filter((result) => !result.endsWith(': not detected'))
  return `${last_tested_on}: ${bad.length === 0 ? 'nothing detected' : bad.join(', ')}`
}
