// Shows drafts of notices for a recall, to be read, mended and sent by a person.
import type { Context } from 'hono'
import { readNursery } from '../../nursery/read.ts'
import type { Env } from '../../platform/services.ts'
import { draftNotices } from '../../trace/recall-notices.ts'
import { show } from '../form-page.tsx'
import { Page } from '../layout.tsx'
import { askedRecall } from './recall-asked.ts'

/** One draft for each who may have to be told. */
export async function showRecallNotices(c: Context<Env>) {
  const { db } = c.get('services')
  const { recall, query } = await askedRecall(c)
  const nursery = (await readNursery(db))?.name ?? 'our nursery'
  const notices = await draftNotices(db, recall, nursery)
  return show(
    c,
    <Page
      c={c}
      title="Drafts of notices"
      lead={`${recall.question.agent}, sampled ${recall.question.foundOn}`}
      actions={
        <a class="button" href={`/trace/recall/of?${query}`}>
          Back to the recall
        </a>
      }
    >
      <p class="care">
        These are drafts: nothing is sent. Who must be told, how fast and in what form is said by
        the plant-health law of your country and by your certification scheme. Ask them first.
      </p>
      {notices.length === 0 ? (
        <p class="note">
          No authority is on the register of parties, no supplier and no holder is touched. Enter
          your plant-health authority under Nursery, Parties.
        </p>
      ) : null}
      {notices.map(({ to, role, text }) => (
        <section>
          <h2>
            {to} ({role})
          </h2>
          <pre class="draft">{text}</pre>
        </section>
      ))}
    </Page>,
  )
}
