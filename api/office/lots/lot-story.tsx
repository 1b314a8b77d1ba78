// A lot's whole story as a table: what happened, when, by whom, and what was withdrawn.
import { readStory, STORY_PAGE } from '../../lots/story.ts'
import type { Story, StoryEntry, StoryEvent } from '../../lots/story.ts'
import type { Database } from '../../../db/connect.ts'
import { Table } from '../layout.tsx'
import { shownTime } from '../times.ts'
import { entryWords, groupWords } from './story-words.ts'

/** Beyond this the two clocks are both shown. */
const clocksDifferMs = 5 * 60_000

/** Reads the page of the story that the address asks for, the first one else. */
export function readStoryPage(
  db: Database,
  lotId: string,
  zone: string,
  asked: string | undefined,
): Promise<Story & { page: number }> {
  const page = Math.max(0, Math.trunc(Number(asked ?? 0)) || 0)
  return readStory(db, lotId, zone, page).then((story) => ({ ...story, page }))
}

/** The story with its heading. */
export function LotStory(props: { story: Story & { page: number }; lotId: string; zone: string }) {
  const { story, lotId, zone } = props
  const from = story.page * STORY_PAGE
  const caption =
    story.total <= STORY_PAGE
      ? 'Everything recorded, the earliest first'
      : `Events ${from + 1} to ${from + story.events.length} of ${story.total}, the earliest first`
  return (
    <section aria-labelledby="story">
      <h2 id="story">Story</h2>
      <Table
        caption={caption}
        head={['When', 'What', 'Who', <span class="on-screen">Mistake?</span>]}
      >
        {story.events.map((event) => (
          <Event event={event} story={story} lotId={lotId} zone={zone} />
        ))}
      </Table>
      <p class="hint on-screen">
        A mistake is withdrawn, never erased: the entry then counts nowhere and still shows here,
        struck through, with the reason. Record afterwards what is right.
      </p>
      <p class="actions">
        {story.page > 0 ? <a href={`?story=${story.page - 1}#story`}>Earlier events</a> : null}
        {from + story.events.length < story.total ? (
          <a href={`?story=${story.page + 1}#story`}>Later events</a>
        ) : null}
      </p>
    </section>
  )
}

function Event(props: { event: StoryEvent; story: Story; lotId: string; zone: string }) {
  const { event, story, zone } = props
  if (event.what !== 'entry') {
    const people = event.person_ids.map((id) => story.names.get(id) ?? 'somebody').join(', ')
    return (
      <tr>
        <td class="whole">{shownTime(event.occurred_at, zone)}</td>
        <td>
          {groupWords(event)},{' '}
          <a href={`/blocks/rows/${event.row_id}`}>
            {story.names.get(event.row_id) ?? 'a row not registered here'}
          </a>
        </td>
        <td>{people}</td>
        <td class="on-screen" />
      </tr>
    )
  }
  return (
    <tr>
      <td class="whole">
        <Times event={event} zone={zone} />
      </td>
      <td>
        <span class={event.withdrawn === null ? '' : 'withdrawn'}>
          {entryWords(event.entry, props.lotId, story.names)}
        </span>
        <Withdrawn event={event} zone={zone} />
      </td>
      <td>
        {event.person ?? 'somebody not registered here'}
        <span class="quiet">, {event.device ?? 'an unknown device'}</span>
      </td>
      <td class="on-screen">
        {event.withdrawn === null && event.entry.kind !== 'entry.withdrawn' ? (
          <a
            href={`/journal/${event.entry.id}#withdraw`}
            aria-label={`Withdraw entry ${event.journal_index}`}
          >
            withdraw
          </a>
        ) : null}
      </td>
    </tr>
  )
}

function Times({ event, zone }: { event: StoryEntry; zone: string }) {
  const apart = Math.abs(event.recorded_at.getTime() - event.occurred_at.getTime())
  return (
    <>
      {shownTime(event.occurred_at, zone)}
      {apart > clocksDifferMs ? (
        <span class="quiet">
          <br />
          recorded {shownTime(event.recorded_at, zone)}
        </span>
      ) : null}
    </>
  )
}

function Withdrawn({ event, zone }: { event: StoryEntry; zone: string }) {
  if (event.withdrawn === null) return null
  const { person, occurred_at, reason } = event.withdrawn
  return (
    <>
      <br />
      withdrawn {shownTime(occurred_at, zone)} by {person ?? 'somebody'}: {reason}
    </>
  )
}
