// Checkpoints: what was signed of the journal, by which keys, and where it was sent.
import type { Hono } from 'hono'
import { knownKeys } from '../../journal/checkpoint-keys.ts'
import type { KnownKey } from '../../journal/checkpoint-keys.ts'
import { listDeliveries } from '../../journal/checkpoint-delivery.ts'
import type { Delivery } from '../../journal/checkpoint-delivery.ts'
import { checkpointFileName } from '../../journal/checkpoint-files.ts'
import { listCheckpoints } from '../../journal/checkpoints.ts'
import type { SignedCheckpoint } from '../../journal/checkpoints.ts'
import { signNow } from '../../journal/keep-signing.ts'
import { keyText } from '../../journal/note.ts'
import { journalSize } from '../../journal/read-journal.ts'
import { nurseryTimeZone } from '../../nursery/read.ts'
import type { Env } from '../../platform/services.ts'
import { show } from '../form-page.tsx'
import { Page, Table } from '../layout.tsx'
import { found } from '../path-id.ts'
import { shownTime } from '../times.ts'

const shownLimit = 50

/** Adds them under the journal. */
export function addCheckpointPages(pages: Hono<Env>): void {
  pages.get('/checkpoints', async (c) => {
    const { db, proof } = c.get('services')
    const [checkpoints, keys, deliveries, size, zone] = await Promise.all([
      listCheckpoints(db, { limit: shownLimit }),
      knownKeys(db),
      listDeliveries(db),
      journalSize(db),
      nurseryTimeZone(db),
    ])
    const ways = [proof?.sendToFolder ?? null, proof?.sendToUrl ?? null].filter(
      (way) => way !== null,
    )
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
        <form method="post" action="/journal/checkpoints">
          <p>
            {fresh === 0
              ? 'Everything recorded is signed.'
              : `${fresh} entries came since the last checkpoint. ` +
                'They are signed within 15 minutes.'}
          </p>
          <p>
            <button class="main">Sign now</button>
          </p>
        </form>
        <Ways deliveries={deliveries} isSet={ways.length > 0} zone={zone} />
        <Keys keys={keys} zone={zone} />
        <Checkpoints checkpoints={checkpoints} zone={zone} />
      </Page>,
    )
  })

  pages.post('/checkpoints', async (c) => {
    await signNow(c.get('services'))
    return c.redirect('/journal/checkpoints', 303)
  })

  pages.get('/checkpoints/:size{[1-9][0-9]{0,14}}', async (c) => {
    const all = await listCheckpoints(c.get('services').db, { limit: 10_000 })
    const size = Number(c.req.param('size'))
    const checkpoint = found(
      all.find((one) => one.size === size),
      'checkpoint',
    )
    return c.body(checkpoint.note, 200, {
      'content-type': 'text/plain; charset=utf-8',
      'content-disposition': `attachment; filename="${checkpointFileName(checkpoint)}"`,
    })
  })
}

function Ways(props: { deliveries: Delivery[]; isSet: boolean; zone: string }) {
  if (!props.isSet && props.deliveries.length === 0) {
    return (
      <p class="care">
        Checkpoints are kept on this server alone. Set CANEMARK_CHECKPOINT_FOLDER or
        CANEMARK_CHECKPOINT_URL, or save one below and keep it elsewhere.
      </p>
    )
  }
  return (
    <Table caption="Where they are sent" head={['Way', 'Entries covered', 'When']} numbers={[1]}>
      {props.deliveries.map(({ way, size, triedAt, problem }) => (
        <tr>
          <td>{way === 'post' ? 'the second machine' : 'the folder'}</td>
          <td class="number">{size}</td>
          <td>
            {problem === null ? '' : `not sent (${problem}), last tried `}
            {shownTime(triedAt, props.zone)}
          </td>
        </tr>
      ))}
    </Table>
  )
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
      caption={`The newest ${props.checkpoints.length} checkpoints`}
      head={['Entries', 'Signed', 'Root', 'Take away']}
      numbers={[0]}
    >
      {props.checkpoints.map(({ size, madeAt, root }) => (
        <tr>
          <td class="number">{size}</td>
          <td>{shownTime(madeAt, props.zone)}</td>
          <td>
            <code>{root.toString('hex').slice(0, 16)}…</code>
          </td>
          <td>
            <a href={`/journal/checkpoints/${size}`}>Signed note</a>
          </td>
        </tr>
      ))}
    </Table>
  )
}
