// Dossiers: making one for a lot, vine, row, block or recall, and taking its three forms away.
import { Hono } from 'hono'
import type { Context } from 'hono'
import { signerFor } from '../../journal/keep-signing.ts'
import { makeDossier } from '../../dossier/make.ts'
import { keepDossier, listDossiers, readDossier } from '../../dossier/handed-out.ts'
import type { DossierLine, MadeBy } from '../../dossier/handed-out.ts'
import { dossierPage } from '../../dossier/page.ts'
import { subjectLabel } from '../../dossier/scope.ts'
import type { DossierSubject } from '../../dossier/dossier-shape.ts'
import { nurseryTimeZone } from '../../nursery/read.ts'
import type { Env } from '../../platform/services.ts'
import { recallId, recallQuery } from '../../trace/recall-question.ts'
import { show } from '../form-page.tsx'
import { Page, Table } from '../layout.tsx'
import { pathId, pathPosition } from '../path-id.ts'
import { askedQuestion } from '../trace/recall-asked.ts'
import { shownTime } from '../times.ts'

export const dossierPages = new Hono<Env>()

/** Reads the subject out of the address; each kind has an address of its own. */
type Reader = (c: Context<Env>) => DossierSubject

const kinds: { path: string; subject: Reader }[] = [
  {
    path: '/lot/:lotId',
    subject: (c) => ({ kind: 'lot', id: pathId(c, 'lotId', 'lot'), position: 0 }),
  },
  {
    path: '/vine/:rowId/:position',
    subject: (c) => {
      return { kind: 'vine', id: pathId(c, 'rowId', 'row'), position: pathPosition(c, 'position') }
    },
  },
  {
    path: '/row/:rowId',
    subject: (c) => ({ kind: 'row', id: pathId(c, 'rowId', 'row'), position: 0 }),
  },
  {
    path: '/block/:blockId',
    subject: (c) => ({ kind: 'block', id: pathId(c, 'blockId', 'block'), position: 0 }),
  },
  {
    path: '/recall',
    subject: (c) => {
      const question = askedQuestion(c)
      return { kind: 'recall', id: recallId(question), position: 0, question }
    },
  },
]

for (const { path, subject } of kinds) {
  dossierPages.get(path, (c) => showDossiers(c, subject(c)))
  dossierPages.post(path, (c) => make(c, subject(c)))
  for (const form of ['page', 'json', 'pdf'] as const) {
    const at = `${path}/:dossierId/${form}`
    dossierPages.get(at, (c) => file(c, subject(c), form))
  }
}

/** The address of the dossiers of a subject. */
export function dossierPath(subject: DossierSubject, more = ''): string {
  const { kind, id, position } = subject
  if (kind === 'recall') return `/dossier/recall${more}?${recallQuery(subject.question)}`
  return kind === 'vine'
    ? `/dossier/vine/${id}/${position}${more}`
    : `/dossier/${kind}/${id}${more}`
}

async function showDossiers(c: Context<Env>, subject: DossierSubject) {
  const { db } = c.get('services')
  const [label, lines, zone] = await Promise.all([
    subjectLabel(db, subject),
    listDossiers(db, subject),
    nurseryTimeZone(db),
  ])
  const path = dossierPath(subject)
  return show(
    c,
    <Page
      c={c}
      title={`Dossier: ${label}`}
      lead={
        'The whole evidence in one file: origin, tests, custody, treatments, take and open ' +
        'questions, with every entry that they rest on. Whoever gets the page can check it on ' +
        'their own machine, without any network. It shows evidence; it certifies nothing.'
      }
    >
      <form method="post" action={path}>
        <p>
          <button class="main">Make the dossier</button>
        </p>
        <p class="hint">
          The journal is signed as it is now. A dossier of many vines takes some seconds.
        </p>
      </form>
      <Made lines={lines} subject={subject} zone={zone} />
    </Page>,
  )
}

function Made(props: { lines: DossierLine[]; subject: DossierSubject; zone: string }) {
  const { lines, subject, zone } = props
  const at = (id: string, form: keyof typeof types) => dossierPath(subject, `/${id}/${form}`)
  if (lines.length === 0) return <p class="note">None was made yet.</p>
  const head = ['Made', 'Entries', 'Of a journal of', 'Content SHA-256', 'Take away']
  return (
    <Table caption="Made before" head={head} numbers={[1, 2]}>
      {lines.map((line) => (
        <tr>
          <td>{shownTime(line.madeAt, zone)}</td>
          <td class="number">{line.entries}</td>
          <td class="number">{line.size}</td>
          <td>
            <code>{line.contentSha256.slice(0, 16)}…</code>
          </td>
          <td>
            <a href={at(line.dossierId, 'page')}>Page that checks itself</a>{' '}
            <a href={at(line.dossierId, 'pdf')}>PDF to read</a>{' '}
            <a href={at(line.dossierId, 'json')}>JSON for programs</a>
          </td>
        </tr>
      ))}
    </Table>
  )
}

async function make(c: Context<Env>, subject: DossierSubject) {
  const services = c.get('services')
  const { db, clock } = services
  const person = c.get('person')
  const by: MadeBy =
    person.auditLinkId === undefined
      ? { personId: person.personId }
      : { auditLinkId: person.auditLinkId }
  await c.get('doors').limits.count('dossier', Object.values(by)[0] ?? '')
  const made = await makeDossier(db, await signerFor(services), subject, clock.now())
  await keepDossier(db, made, by, clock.now())
  return c.redirect(dossierPath(subject), 303)
}

const types = {
  page: { type: 'text/html; charset=utf-8', ending: 'html' },
  json: { type: 'application/json', ending: 'json' },
  pdf: { type: 'application/pdf', ending: 'pdf' },
} as const

async function file(c: Context<Env>, subject: DossierSubject, form: keyof typeof types) {
  const dossierId = pathId(c, 'dossierId', 'dossier')
  const { json, pdf } = await readDossier(c.get('services').db, subject, dossierId)
  const { type, ending } = types[form]
  const body = form === 'page' ? await dossierPage(json, pdf) : form === 'json' ? json : pdf
  // Always to be saved: the page runs a script of its own, which is for the saved file alone.
  return c.body(typeof body === 'string' ? body : new Uint8Array(body), 200, {
    'content-type': type,
    'content-disposition': `attachment; filename="dossier-${subject.kind}.${ending}"`,
  })
}
