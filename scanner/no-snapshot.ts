// What the phone knows before it has fetched anything: nothing, said plainly.
import { DEFAULT_POLICIES } from '#trade/policy-defaults.ts'
import type { Snapshot } from './phone.ts'
import type { SnapshotSource } from './snapshot-source.ts'
import { findText } from './snapshot/find.ts'

/** A phone that knows of nothing yet. */
export const emptySnapshot: Snapshot = {
  takenAt: null,
  policies: DEFAULT_POLICIES,
  people: [],
  parties: [],
  methods: [],
  find: (text) => findText(text, null),
  nameOf: () => null,
  codeOf: () => null,
  lot: () => null,
  lotOfBundle: () => null,
  lots: () => [],
  row: () => null,
  rows: () => [],
  blocks: () => [],
  vines: () => [],
  plans: () => [],
  place: () => null,
  places: () => [],
  bath: () => null,
  baths: () => [],
  source: () => null,
  sources: () => [],
  judge: () => null,
  judgeWood: () => null,
}

/** A source that never has anything. */
export const noSnapshot: SnapshotSource = {
  snapshot: emptySnapshot,
  nextIndex: 0,
  takenMs: 0,
  layOver: () => {},
  layOverMore: () => {},
  refresh: (ask) => ask.get('/api/device'),
  tonight: null,
  fetchTonight: (ask) => ask.get('/api/device'),
  readAgain: () => Promise.resolve(),
  keepPhoto: () => Promise.reject(new Error('photos are not kept yet')),
  sendPhotos: () => Promise.resolve(null),
}
