// What the nursery opened to an auditor: the way to each lot, block, vine and recall.
import { Hono } from 'hono'
import type { Context } from 'hono'
import { listOpened } from '../../people/audit-links.ts'
import type { OpenedLine } from '../../people/audit-links.ts'
import { refuse } from '../../platform/errors.ts'
import type { Env } from '../../platform/services.ts'
import { show } from '../form-page.tsx'
import { Page, Table } from '../layout.tsx'

export const openedPages = new Hono<Env>()

openedPages.get('/', async (c) => {
  const things = await listOpened(c.get('services').db, linkOf(c))
  return show(
    c,
    <Page
      c={c}
      title="What was opened to you"
      lead="Each page shows what the journal says of the thing. Links that lead further are closed."
    >
      <Table
        caption={`${things.length} things`}
        head={['What', 'Name', 'Where it came from', 'Evidence']}
      >
        {things.map((thing) => (
          <tr>
            <td>{thing.kind}</td>
            <td>
              <a href={pageOf(thing)}>{thing.name}</a>
            </td>
            <td>{traceOf(thing)}</td>
            <td>
              <a href={dossierOf(thing)}>Dossier</a>
            </td>
          </tr>
        ))}
      </Table>
    </Page>,
  )
})

function linkOf(c: Context<Env>): string {
  const { auditLinkId } = c.get('person')
  return auditLinkId ?? refuse('not_allowed', 'this page is for auditors', { status: 403 })
}

function pageOf(line: OpenedLine): string {
  const { kind, id, position } = line
  if (kind === 'recall') return dossierOf(line)
  if (kind === 'lot') return `/lots/${id}`
  return kind === 'block' ? `/blocks/${id}` : `/blocks/vines/${id}/${position}`
}

function dossierOf({ kind, id, position, question }: OpenedLine): string {
  if (kind === 'recall') return `/dossier/recall?${question ?? ''}`
  return kind === 'vine' ? `/dossier/vine/${id}/${position}` : `/dossier/${kind}/${id}`
}

function traceOf({ kind, id, position }: OpenedLine) {
  if (kind === 'block') return 'vine by vine, from its rows'
  if (kind === 'recall') return 'told in its dossier'
  const path = kind === 'lot' ? `lot/${id}` : `vine/${id}/${position}`
  return <a href={`/trace/back/${path}`}>Trace back</a>
}
