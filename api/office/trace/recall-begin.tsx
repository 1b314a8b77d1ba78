// Where a recall begins: tests that found something, and a form for what was found otherwise.
import type { Context } from 'hono'
import { HEALTH_AGENTS } from '#trade/health-agents.ts'
import { localDay } from '#trade/zone-time.ts'
import { listLots } from '../../lots/read.ts'
import { nurseryTimeZone } from '../../nursery/read.ts'
import type { Env } from '../../platform/services.ts'
import { listSources } from '../../sources/read.ts'
import { detectedTests } from '../../trace/recall-start.ts'
import { show } from '../form-page.tsx'
import { Page, Table } from '../layout.tsx'
import { readStart, recallQuery, startLabel } from '../../trace/recall-question.ts'

/** Shows tests that detected an agent, and the form. */
export async function showRecallBegin(c: Context<Env>) {
  const { db, clock } = c.get('services')
  const tests = await detectedTests(db)
  return show(
    c,
    <Page
      c={c}
      title="Recall"
      lead="From where a health agent was found to everything that it may have reached."
    >
      {tests.length === 0 ? (
        <p class="note">No test on record has found anything.</p>
      ) : (
        <Table
          caption="Tests that found something, the latest first"
          head={['Sampled', 'Source', 'Agent', 'Method', 'Laboratory', '']}
        >
          {tests.map((test) => {
            const start = { kind: 'source' as const, id: test.source_id }
            const query = recallQuery({ start, agent: test.agent, foundOn: test.sampled_on })
            return (
              <tr>
                <td class="whole">{test.sampled_on}</td>
                <td>
                  <a href={`/sources/${test.source_id}`}>{test.source}</a>
                </td>
                <td>{test.agent}</td>
                <td>{test.method}</td>
                <td>{test.laboratory}</td>
                <td>
                  <a href={`/trace/recall/of?${query}`}>What it may have reached</a>
                </td>
              </tr>
            )
          })}
        </Table>
      )}
      <AskForm
        c={c}
        today={localDay(clock.now().getTime(), await nurseryTimeZone(db))}
        options={await startOptions(c)}
      />
    </Page>,
  )
}

type Choice = { value: string; label: string }

async function startOptions(c: Context<Env>): Promise<Choice[]> {
  const { db, clock } = c.get('services')
  const text = (c.req.query('find') ?? '').slice(0, 100)
  const [sources, lots] = await Promise.all([
    listSources(db, { text, now: clock.now() }),
    listLots(db, { text }),
  ])
  const on = c.req.query('on') ?? ''
  const start = readStart(on)
  return [
    ...(start === null ? [] : [{ value: on, label: await startLabel(db, start) }]),
    ...sources.map(({ source_id, name }) => ({
      value: `source ${source_id}`,
      label: `source ${name}`,
    })),
    ...lots.map(({ lot_id, reference }) => ({ value: `lot ${lot_id}`, label: `lot ${reference}` })),
  ]
}

function AskForm(props: { c: Context<Env>; today: string; options: readonly Choice[] }) {
  return (
    <section>
      <h2>Found otherwise</h2>
      <form class="actions" method="get">
        <label for="recall-find">Show sources and lots like</label>
        <input
          id="recall-find"
          name="find"
          type="search"
          value={(props.c.req.query('find') ?? '').slice(0, 100)}
        />
        <button>Show</button>
      </form>
      <form method="get" action="/trace/recall/of">
        <p class="field">
          <label for="recall-on">Found in</label>
          <select id="recall-on" name="on" required>
            <option value="">choose</option>
            {props.options.map(({ value, label }) => (
              <option value={value} selected={value === props.c.req.query('on')}>
                {label}
              </option>
            ))}
          </select>
        </p>
        <p class="field">
          <label for="recall-agent">Health agent</label>
          <input id="recall-agent" name="agent" list="recall-agents" required maxlength={120} />
        </p>
        <datalist id="recall-agents">
          {HEALTH_AGENTS.map(({ name }) => (
            <option value={name} />
          ))}
        </datalist>
        <p class="field">
          <label for="recall-found">Sample taken on</label>
          <input id="recall-found" name="found" type="date" value={props.today} required />
        </p>
        <p class="hint">For a vine, open the vine and choose “Recall from this vine”.</p>
        <p class="actions">
          <button class="main">Show what it may have reached</button>
        </p>
      </form>
    </section>
  )
}
