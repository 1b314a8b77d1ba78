// Trace: finding where to start, back from a vine, tag or lot, and forward from a source.
import { Hono } from 'hono'
import type { Context } from 'hono'
import { readProofText } from '#trade/proof-text.ts'
import { knownKeys } from '../../journal/checkpoint-keys.ts'
import { refuse } from '../../platform/errors.ts'
import type { Env } from '../../platform/services.ts'
import { findThings } from '../../trace/find.ts'
import type { Found } from '../../trace/find.ts'
import { show } from '../form-page.tsx'
import { Page, Table } from '../layout.tsx'
import { addBackPages } from './back.tsx'
import { addForwardPages } from './forward.tsx'
import { pageOf, tracesOf } from './places.ts'
import { addRecallPages } from './recall.tsx'

export const tracePages = new Hono<Env>()
export const findPages = new Hono<Env>()

tracePages.get('/', async (c) => {
  const text = c.req.query('q') ?? ''
  const { found, tagProblem } = await findThings(c.get('services').db, text)
  return show(
    c,
    <Page
      c={c}
      title="Trace"
      lead={
        'Back from a vine, tag or lot to the sources it is made of; forward from a source, lot ' +
        'or bath to every vine that holds anything of it.'
      }
      actions={
        <a class="button" href="/trace/recall">
          Recall
        </a>
      }
    >
      <form action="/trace" role="search">
        <p class="field">
          <label for="trace-q">Where to start</label>
          <span class="hint">
            a tag code, a lot, a source, or a vine as block, row and position
          </span>
          <input id="trace-q" name="q" type="search" size={36} value={text} required />{' '}
          <button class="main">Find</button>
        </p>
      </form>
      <FoundList text={text} found={found} tagProblem={tagProblem} />
    </Page>,
  )
})

findPages.get('/', async (c) => {
  const text = c.req.query('q') ?? ''
  if (await isJournalProof(c, text)) return show(c, <ProofFound c={c} text={text} />)
  const { found, tagProblem } = await findThings(c.get('services').db, text)
  const [only] = found
  const page = found.length === 1 && only !== undefined ? pageOf(only) : null
  if (page !== null) return c.redirect(page, 302)
  return show(
    c,
    <Page c={c} title="Find">
      <FoundList text={text} found={found} tagProblem={tagProblem} />
    </Page>,
  )
})

/** A reader that types sends the first line of the symbol alone: the name of the key. */
async function isJournalProof(c: Context<Env>, text: string): Promise<boolean> {
  if (readProofText(text) !== null) return true
  const keys = await knownKeys(c.get('services').db)
  return keys.some(({ name }) => name === text.trim())
}

function ProofFound({ c, text }: { c: Context<Env>; text: string }) {
  const size = readProofText(text)?.size ?? null
  return (
    <Page c={c} title="Journal proof">
      <p class="note" role="status">
        This is a journal proof, not a tag: the signed note of how many entries
        {size === null ? '' : ` (${size})`} a journal held, and of the root of their tree. It
        belongs to no wood. Keep it with the delivery.
      </p>
      <p>
        What was signed here stands under <a href="/journal/checkpoints">Checkpoints</a>, with how
        to check a note.
      </p>
    </Page>
  )
}

tracePages.get('/back/tag/:code', async (c) => {
  const { found, tagProblem } = await findThings(c.get('services').db, c.req.param('code'))
  const [first] = found
  const trace = first === undefined ? undefined : tracesOf(first)[0]
  if (trace === undefined) {
    refuse('not_found', tagProblem ?? 'this tag is bound to nothing that can be traced back', {
      status: 404,
    })
  }
  return c.redirect(trace.href, 302)
})

addBackPages(tracePages)
addForwardPages(tracePages)
addRecallPages(tracePages)

function FoundList(props: { text: string; found: Found[]; tagProblem: string | null }) {
  if (props.text.trim() === '') return null
  if (props.found.length === 0) {
    return (
      <p class="note" role="status">
        {props.tagProblem ?? `Nothing is called “${props.text}”. Check the spelling.`}
      </p>
    )
  }
  return (
    <Table caption={`Found for “${props.text}”`} head={['What', 'Name', '', 'Trace']}>
      {props.found.map((thing) => {
        const href = pageOf(thing)
        return (
          <tr>
            <td>{thing.kind}</td>
            <td>{href === null ? thing.label : <a href={href}>{thing.label}</a>}</td>
            <td class="quiet">{thing.detail}</td>
            <td>
              {tracesOf(thing).map((trace) => (
                <>
                  <a href={trace.href}>{trace.label}</a>{' '}
                </>
              ))}
            </td>
          </tr>
        )
      })}
    </Table>
  )
}
