// The journal: every entry in its order, withdrawn ones shown as such.
import { Hono } from 'hono'
import { entryKinds } from '#wire/entry.ts'
import { JOURNAL_PAGE, countAside, listEntries } from '../../journal/read.ts'
import type { JournalLine } from '../../journal/read.ts'
import { listPeople, nurseryTimeZone } from '../../nursery/read.ts'
import type { Env } from '../../platform/services.ts'
import { show } from '../form-page.tsx'
import { Page, Table } from '../layout.tsx'
import { shownTime } from '../times.ts'
import { addAsidePages } from './aside.tsx'
import { addCheckpointPages } from './checkpoints.tsx'
import { addEntryPages } from './entry.tsx'

export const journalPages = new Hono<Env>()

journalPages.get('/', async (c) => {
  const { db } = c.get('services')
  const kind = c.req.query('kind') ?? ''
  const personId = /^[0-9a-f-]{36}$/.test(c.req.query('person') ?? '') ? c.req.query('person') : ''
  const before = /^\d{1,15}$/.test(c.req.query('before') ?? '')
    ? Number(c.req.query('before'))
    : null
  const filter = { kind: kind in entryKinds ? kind : '', personId: personId ?? '', before }
  const [entries, zone, people, aside] = await Promise.all([
    listEntries(db, filter),
    nurseryTimeZone(db),
    listPeople(db),
    countAside(db),
  ])
  const last = entries.at(-1)
  const older = new URLSearchParams({ kind: filter.kind, person: filter.personId })
  older.set('before', String(last?.journal_index ?? 0))
  return show(
    c,
    <Page
      c={c}
      title="Journal"
      lead="Everything reported, in the order of arrival. Nothing here is ever changed or deleted."
      actions={
        <>
          <a class="button" href="/journal/checkpoints">
            Checkpoints
          </a>{' '}
          <a class="button" href="/exchange">
            Exchange
          </a>{' '}
          <a class="button" href="/journal/aside">
            Set aside ({aside})
          </a>
        </>
      }
    >
      <form class="actions" action="/journal">
        <label for="journal-kind">Kind</label>
        <select id="journal-kind" name="kind">
          <option value="">all</option>
          {Object.keys(entryKinds).map((name) => (
            <option value={name} selected={name === filter.kind}>
              {name}
            </option>
          ))}
        </select>
        <label for="journal-person">Person</label>
        <select id="journal-person" name="person">
          <option value="">all</option>
          {people.map((person) => (
            <option value={person.person_id} selected={person.person_id === filter.personId}>
              {person.name}
            </option>
          ))}
        </select>
        <button>Show</button>
      </form>
      <EntryTable entries={entries} zone={zone} />
      {entries.length === JOURNAL_PAGE ? (
        <p>
          <a href={`/journal?${older.toString()}`}>Older entries</a>
        </p>
      ) : null}
    </Page>,
  )
})

addAsidePages(journalPages)
addCheckpointPages(journalPages)
addEntryPages(journalPages)

/** Minutes between the device's clock and the server's from which both times are shown. */
const clockGapMinutes = 5

function EntryTable({ entries, zone }: { entries: JournalLine[]; zone: string }) {
  if (entries.length === 0) return <p class="note">No entry fits.</p>
  const head = ['Index', 'Kind', 'Happened', 'Recorded', 'Person', 'Device', 'Count', '']
  return (
    <Table caption={`${entries.length} entries, newest first`} head={head}>
      {entries.map((entry) => (
        <tr>
          <td class="number">{entry.journal_index}</td>
          <td class={entry.withdrawn ? 'withdrawn' : ''}>
            <a href={`/journal/${entry.id}`}>{entry.kind}</a>
          </td>
          <td>{shownTime(entry.occurred_at, zone)}</td>
          <td>{recordedLater(entry) ? shownTime(entry.recorded_at, zone) : ''}</td>
          <td>{entry.person ?? <span class="code">{entry.person_id.slice(-8)}</span>}</td>
          <td>{entry.device ?? <span class="code">{entry.device_id.slice(-8)}</span>}</td>
          <td class="number">{entry.device_counter}</td>
          <td>{entry.withdrawn ? 'withdrawn' : ''}</td>
        </tr>
      ))}
    </Table>
  )
}

function recordedLater(entry: JournalLine): boolean {
  const gapMs = Math.abs(entry.recorded_at.getTime() - entry.occurred_at.getTime())
  return gapMs > clockGapMinutes * 60_000
}
