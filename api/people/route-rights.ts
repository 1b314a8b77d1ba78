// Which right each office route needs; a route that stands in no row is the administrator's alone.
import { questionOrNull } from '../trace/recall-question.ts'
import type { AskedThing } from './audit-links.ts'
import type { Right } from './rights.ts'

/** Reads a parameter of the address, or of its query. */
type Parameter = (name: string) => string

/** What a route needs: a right, a fresh password, and for an auditor the thing being open. */
export type RouteRight = {
  method: 'GET' | 'POST'
  /** As registered, without patterns in braces; a last `*` stands for anything further. */
  path: string
  right: Right
  /** Must the password have been given within the last ten minutes? */
  proof?: true
  /** The thing that an auditor's link must have opened; without it no auditor comes here. */
  opened?: (parameter: Parameter, query: Parameter) => AskedThing | null
}

type Extra = Pick<RouteRight, 'proof' | 'opened'>
const proof: Extra = { proof: true }
const get = (right: Right, paths: string[], extra: Extra = {}) =>
  paths.map((path): RouteRight => ({ method: 'GET', path, right, ...extra }))
const post = (right: Right, paths: string[], extra: Extra = {}) =>
  paths.map((path): RouteRight => ({ method: 'POST', path, right, ...extra }))
const both = (right: Right, paths: string[]) => [...get(right, paths), ...post(right, paths)]

const lot: Extra = { opened: (of) => ({ kind: 'lot', lotId: of('lotId') }) }
const block: Extra = { opened: (of) => ({ kind: 'block', blockId: of('blockId') }) }
const row: Extra = { opened: (of) => ({ kind: 'row', rowId: of('rowId') }) }
const vine: Extra = {
  opened: (of) => {
    const position = of('position')
    const isPlain = /^[1-9]\d{0,4}$/.test(position)
    return isPlain ? { kind: 'vine', rowId: of('rowId'), position: Number(position) } : null
  },
}
const recall: Extra = {
  opened: (_, query) => {
    const asked = { on: query('on'), agent: query('agent'), found: query('found') }
    const question = questionOrNull(asked)
    return question === null ? null : { kind: 'recall', question }
  },
}
const forward: Extra = {
  opened: (of) => (of('kind') === 'lot' ? { kind: 'lot', lotId: of('id') } : null),
}

/** The first row that fits counts. */
export const routeRights: readonly RouteRight[] = [
  ...get('see the work', ['/', '/today', '/find']),
  ...get('see what was opened', ['/opened']),
  // One's own sign-in
  ...get('keep the own sign-in', ['/me']),
  ...post('keep the own sign-in', ['/me/sessions/:sessionId/end']),
  ...post('keep the own sign-in', ['/me/password'], proof),
  // Work on wood
  ...both('record work', ['/lots/cut', '/lots/receive', '/lots/combine', '/lots/:lotId/*']),
  ...get('see the work', ['/lots']),
  ...get('see the work', ['/lots/:lotId'], lot),
  ...both('keep the register', ['/store/register']),
  ...both('keep the register', ['/store/loggers/new', '/store/loggers/:loggerId/move']),
  ...both('record work', ['/store/loggers/:loggerId/import']),
  ...post('record work', ['/store/loggers/:loggerId/import/*']),
  ...get('see the work', ['/store/board', '/store/excursions', '/store/lots/:lotId']),
  ...get('see the work', ['/store/loggers', '/store/loggers/:loggerId']),
  ...both('record work', ['/store/move', '/soak/fill', '/soak/:bathId/*']),
  ...get('see the work', ['/soak/tonight', '/soak/treatments', '/soak/treatments/:entryId']),
  ...get('see the work', ['/soak/weather']),
  ...post('record work', ['/soak/weather']),
  ...both('record work', ['/soak/treat']),
  ...get('see the work', ['/store', '/soak', '/soak/:bathId']),
  ...both('record work', ['/custody/hand-over', '/custody/return']),
  // Holds
  ...both('place holds', ['/custody/holds/place']),
  ...post('lift holds', ['/custody/holds/:holdId/lift', '/custody/holds/:holdId/answer'], proof),
  ...get('see the record', ['/custody/audit', '/custody/audit/:lotId']),
  ...get('see the work', ['/custody', '/custody/holds', '/custody/holds/:holdId']),
  // Blocks: what happens on them, and how they are laid out and planned
  ...both('record work', ['/blocks/rows/:rowId/graft', '/blocks/rows/:rowId/take']),
  ...get('see the work', ['/blocks/vines/:rowId/:position/photos/:sha256'], vine),
  ...both('record work', ['/blocks/vines/:rowId/:position/*', '/blocks/grafts/*']),
  ...both('keep the register', ['/blocks/new', '/blocks/rows/:rowId/*', '/blocks/:blockId/edit']),
  ...both('keep the register', ['/blocks/:blockId/rows/new', '/blocks/:blockId/plan']),
  ...both('keep the register', ['/blocks/:blockId/import']),
  ...post('keep the register', ['/blocks/:blockId/import/confirm']),
  ...get('see the work', ['/blocks', '/blocks/plans']),
  ...get('see the work', ['/blocks/:blockId', '/blocks/:blockId/rows.csv'], block),
  ...get('see the work', ['/blocks/rows/:rowId'], row),
  ...get('see the work', ['/blocks/vines/:rowId/:position'], vine),
  // The record
  ...get('see the record', ['/trace/back/vine/:rowId/:position'], vine),
  ...get('see the record', ['/trace/back/vine/:rowId/:position/*'], vine),
  ...get('see the record', ['/trace/back/lot/:lotId', '/trace/back/lot/:lotId/*'], lot),
  ...get('see the record', ['/trace/forward/:kind/:id', '/trace/forward/:kind/:id/*'], forward),
  ...post('place holds', ['/trace/recall/holds']),
  ...get('see the record', ['/trace', '/trace/*']),
  ...get('see the record', ['/dossier/lot/:lotId', '/dossier/lot/:lotId/*'], lot),
  ...post('see the record', ['/dossier/lot/:lotId'], lot),
  ...get('see the record', ['/dossier/block/:blockId', '/dossier/block/:blockId/*'], block),
  ...post('see the record', ['/dossier/block/:blockId'], block),
  ...get('see the record', ['/dossier/row/:rowId', '/dossier/row/:rowId/*'], row),
  ...post('see the record', ['/dossier/row/:rowId'], row),
  ...get('see the record', ['/dossier/vine/:rowId/:position'], vine),
  ...get('see the record', ['/dossier/vine/:rowId/:position/*'], vine),
  ...post('see the record', ['/dossier/vine/:rowId/:position'], vine),
  ...get('see the record', ['/dossier/recall', '/dossier/recall/*'], recall),
  ...post('see the record', ['/dossier/recall'], recall),
  ...get('see the record', ['/exchange', '/exchange/*']),
  ...post('record work', ['/exchange']),
  ...get('see the record', ['/journal', '/journal/*']),
  ...post('answer findings', ['/journal/aside/:number']),
  ...post('keep the register', ['/journal/checkpoints']),
  ...post('see the record', ['/journal/checkpoints/kept']),
  ...post('withdraw entries', ['/journal/:id/withdraw']),
  ...get('see the record', ['/findings', '/findings/*']),
  ...post('answer findings', ['/findings/*']),
  ...both('keep the register', ['/sources/new', '/sources/:sourceId/*']),
  ...both('keep the register', ['/sources/import']),
  ...post('keep the register', ['/sources/schemes', '/sources/import/confirm']),
  ...get('see the record', ['/sources', '/sources/schemes', '/sources/:sourceId']),
  ...get('print tags', ['/tags']),
  ...both('print tags', ['/tags/*']),
  // The nursery
  ...get('see the record', ['/nursery', '/nursery/varieties', '/nursery/parties']),
  ...get('see the record', ['/nursery/policies']),
  ...both('keep the register', ['/nursery/*']),
  ...get('set up', ['/begin']),
  ...post('set up', ['/begin/demo']),
  // People, devices, auditors
  ...get('enrol devices', ['/people/devices', '/people/devices/*']),
  ...post('enrol devices', ['/people/devices/:deviceId/held']),
  ...post('enrol devices', ['/people/devices/*'], proof),
  ...get('open the record to auditors', ['/people/audits', '/people/audits/*']),
  ...post('open the record to auditors', ['/people/audits/*'], proof),
  ...get('enrol devices', ['/people']),
  ...get('manage people', ['/people/new', '/people/:personId']),
  ...post('manage people', ['/people/*'], proof),
]

/** The row for a route as it is registered; null when it stands in none. */
export function routeRight(method: string, registeredPath: string): RouteRight | null {
  const path = withoutPatterns(registeredPath)
  return routeRights.find((row) => row.method === method && fits(row.path, path)) ?? null
}

/** `/lots/:lotId{[0-9a-f-]{36}}` is the same route as `/lots/:lotId`. */
export function withoutPatterns(path: string): string {
  return path.replace(/\{(?:[^{}]|\{[^{}]*\})*\}/g, '')
}

function fits(pattern: string, path: string): boolean {
  if (!pattern.endsWith('/*')) return pattern === path
  return path.startsWith(pattern.slice(0, -1))
}
