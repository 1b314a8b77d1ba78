// Checkpoints: what was signed of the journal, by which keys, and where it was sent.
import type { Context, Hono } from 'hono'
import { knownKeys } from '../../journal/checkpoint-keys.ts'
import type { KnownKey } from '../../journal/checkpoint-keys.ts'
import { listDeliveries } from '../../journal/checkpoint-delivery.ts'
import { checkpointFileName, stampFileName } from '../../journal/checkpoint-files.ts'
import { listCheckpoints } from '../../journal/checkpoints.ts'
import type { SignedCheckpoint } from '../../journal/checkpoints.ts'
import { signNow } from '../../journal/keep-signing.ts'
import { keyText } from '../../journal/note.ts'
import { listStamps } from '../../journal/stamps.ts'
import { journalSize } from '../../journal/read-journal.ts'
import { nurseryTimeZone } from '../../nursery/read.ts'
import type { Env } from '../../platform/services.ts'
import { show } from '../form-page.tsx'
import { Page, Table } from '../layout.tsx'
import { found } from '../path-id.ts'
import { shownTime } from '../times.ts'
import { addKeptCheckpointPage } from './kept-checkpoint.tsx'
import { HowToCheck, Stamps } from './checkpoint-stamps.tsx'
import { Ways } from './checkpoint-ways.tsx'

const shownLimit = 50
const stampsShown = 10

/** Adds them under the journal. */
export function addCheckpointPages(pages: Hono<Env>): void {
  pages.get('/checkpoints', async (c) => {
    const { db, proof } = c.get('services')
    const [checkpoints, keys, deliveries, stamps, size, zone] = await Promise.all([
      listCheckpoints(db, { limit: shownLimit }),
      knownKeys(db),
      listDeliveries(db),
      listStamps(db, { limit: stampsShown }),
      journalSize(db),
      nurseryTimeZone(db),
    ])
    const fresh = size - (checkpoints[0]?.size ?? 0)
    return show(
      c,
      <Page
        c={c}
        title="Checkpoints"
        lead={
          'A checkpoint is a signed note of how many entries the journal held and of the root of ' +
          'their tree. Kept where the owner of this server cannot reach it, it shows any later ' +
          'change of what it covers.'
        }
      >
        <SignNow size={size} fresh={fresh} />
        <Ways
          proof={proof}
          deliveries={deliveries}
          size={checkpoints[0]?.size ?? null}
          zone={zone}
        />
        <Stamps stamps={stamps} zone={zone} />
        <p>
          <a href="/journal/checkpoints/kept">
            Hold the journal against a checkpoint that you kept
          </a>
        </p>
        <HowToCheck />
        {keys.length === 0 ? null : <Keys keys={keys} zone={zone} />}
        {checkpoints.length === 0 ? null : <Checkpoints checkpoints={checkpoints} zone={zone} />}
      </Page>,
    )
  })

  pages.post('/checkpoints', async (c) => {
    await signNow(c.get('services'))
    return c.redirect('/journal/checkpoints', 303)
  })
  addKeptCheckpointPage(pages)
  addDownloads(pages)
}

/** What is signed and what not yet, with the button that signs it. */
function SignNow({ size, fresh }: { size: number; fresh: number }) {
  if (size === 0) return <p>Nothing is recorded yet, so there is nothing to sign.</p>
  if (fresh === 0) return <p>Everything recorded is signed.</p>
  return (
    <form method="post" action="/journal/checkpoints">
      <p>
        {fresh === 1 ? 'One entry' : `${fresh} entries`} came since the last checkpoint, to be
        signed within 15 minutes.
      </p>
      <p>
        <button class="main">Sign now</button>
      </p>
    </form>
  )
}

/** Notes and stamps as files. */
function addDownloads(pages: Hono<Env>): void {
  pages.get('/checkpoints/:size{[1-9][0-9]{0,14}}', async (c) => {
    const all = await listCheckpoints(c.get('services').db, { limit: 10_000 })
    const size = Number(c.req.param('size'))
    const checkpoint = found(
      all.find((one) => one.size === size && isAsked(c, one)),
      'checkpoint',
    )
    return c.body(checkpoint.note, 200, {
      'content-type': 'text/plain; charset=utf-8',
      'content-disposition': `attachment; filename="${checkpointFileName(checkpoint)}"`,
    })
  })

  pages.get('/checkpoints/:size{[1-9][0-9]{0,14}}/stamp', async (c) => {
    const sizes = [Number(c.req.param('size'))]
    const all = await listStamps(c.get('services').db, { limit: shownLimit, sizes })
    const stamp = found(
      all.find((one) => isAsked(c, one)),
      'stamp',
    )
    return c.body(new Uint8Array(stamp.answer), 200, {
      'content-type': 'application/timestamp-reply',
      'content-disposition': `attachment; filename="${stampFileName(stamp)}"`,
    })
  })
}

/** After a change of keys two checkpoints may have one size; `key` then tells which is meant. */
function isAsked(c: Context<Env>, { keyNumber }: { keyNumber: number }): boolean {
  const key = c.req.query('key')
  return key === undefined || key === String(keyNumber)
}

function Keys({ keys, zone }: { keys: KnownKey[]; zone: string }) {
  return (
    <Table caption="Keys that sign, the oldest first" head={['Key', 'Since', 'Why', 'Named by']}>
      {keys.map((key) => (
        <tr>
          <td>
            <code>{keyText(key)}</code>
          </td>
          <td>{shownTime(key.madeAt, zone)}</td>
          <td>{key.reason}</td>
          <td>
            {key.succession !== null
              ? 'the key before'
              : key.number === 0
                ? ''
                : 'nobody: it was lost'}
          </td>
        </tr>
      ))}
    </Table>
  )
}

function Checkpoints(props: { checkpoints: SignedCheckpoint[]; zone: string }) {
  return (
    <Table
      caption="The newest checkpoints"
      head={['Entries', 'Signed', 'Root', 'Take away']}
      numbers={[0]}
    >
      {props.checkpoints.map(({ size, keyNumber, madeAt, root }) => (
        <tr>
          <td class="number">{size}</td>
          <td>{shownTime(madeAt, props.zone)}</td>
          <td>
            <code>{root.toString('hex').slice(0, 16)}…</code>
          </td>
          <td>
            <a href={`/journal/checkpoints/${size}?key=${keyNumber}`}>Signed note</a>
          </td>
        </tr>
      ))}
    </Table>
  )
}
