// What a phone fetches: the size and time of a whole snapshot and of changes, and of judging.
import { performance } from 'node:perf_hooks'
import { gzipSync } from 'node:zlib'
import { newApp } from '../../api/app.ts'
import { ingest } from '../../api/journal/ingest.ts'
import { deskDevice, makeMachine } from '../../api/people/devices.ts'
import { plainDoors } from '../../api/platform/doors.ts'
import { connect } from '../../db/connect.ts'
import { fetchSnapshot } from '../../scanner/snapshot/fetch.ts'
import { withFetched } from '../../scanner/snapshot/known.ts'
import type { Known } from '../../scanner/snapshot/known.ts'
import { SnapshotModel } from '../../scanner/snapshot/model.ts'
import type { OwnEntry } from '../../scanner/snapshot-source.ts'
import { SmallSeason } from '../lots/small-season.ts'
import { idOf } from '../sim/season.ts'
import { asAdmin, migratedDatabase, withDatabase } from '../server.ts'
import { medianMs, printRatio } from './timing.ts'

const lotCount = 200
const rowCount = 50
const vinesPerRow = 100
/** Grafts that the changes tell of: an hour of two people. */
const graftsSince = 200

/** Prints sizes and times of whole and changes with their ratios, and the time to judge a scan. */
export async function benchSnapshot(adminUrl: string): Promise<void> {
  const name = await migratedDatabase(adminUrl, 'canemark_bench')
  const connected = connect(withDatabase(adminUrl, name), 'app')
  const { db } = connected
  const now = new Date('2027-04-12T12:00:00Z')
  const deskDeviceId = await deskDevice(db)
  const desk = { deviceId: deskDeviceId, personId: idOf('bench'), now }
  const machine = { name: 'phone', writeKinds: [], mayRead: true }
  const { token } = await makeMachine(db, desk, machine)
  const services = { db, clock: { now: () => now }, deskDeviceId }
  const app = newApp(services, async () => null, plainDoors())
  const season = nursery()
  await ingest(db, season.entries[0]?.device ?? '', season.entries)

  let bytes = 0
  const get = async (target: string) => {
    const answer = await app.request(target, { headers: { authorization: `Bearer ${token}` } })
    const text = await answer.text()
    if (answer.status !== 200) throw new Error(`${target}: ${answer.status} ${text}`)
    bytes += gzipSync(text).length
    return text
  }
  const fetched = async (known: Known | null) => {
    bytes = 0
    const after = withFetched(known, await fetchSnapshot(get, known))
    if (after === null) throw new Error('the answer could not be used')
    return { after, bytes }
  }
  const whole = await fetched(null)
  const wholeMs = await medianMs(3, () => fetched(null))
  const before = season.entries.length
  for (let nr = 0; nr < graftsSince; nr += 1) graft(season, rowCount * vinesPerRow - nr - 1)
  await ingest(db, season.entries[0]?.device ?? '', season.entries.slice(before))
  const changes = await fetched(whole.after)
  const changesMs = await medianMs(3, () => fetched(whole.after))
  console.log(
    `snapshot of ${lotCount} lots and ${rowCount * vinesPerRow} vines: ` +
      `${kB(whole.bytes)} gzip whole, ${kB(changes.bytes)} for ${graftsSince} grafts since ` +
      `(ratio ${(changes.bytes / whole.bytes).toFixed(2)})`,
  )
  printRatio('snapshot: changes', changesMs, wholeMs, 'whole')
  benchJudge(changes.after, season, now.getTime())
  await connected.close()
  await asAdmin(adminUrl, `drop database ${name} with (force)`)
}

/** Judging from facts that are worked out at each scan, with and without a day’s own entries. */
function benchJudge(known: Known, season: SmallSeason, nowMs: number): void {
  const own = season.entries
    .slice(-graftsSince)
    .map((entry) => ({ ...entry, journalIndex: null }) as OwnEntry)
  const began = performance.now()
  const model = new SnapshotModel(known, own)
  const builtMs = performance.now() - began
  const rowId = season.id('row 3')
  const scans = 1000
  const judging = performance.now()
  for (let nr = 0; nr < scans; nr += 1) {
    model.judge(season.id(`lot ${nr % lotCount}`), rowId, nowMs)
  }
  const judgeMs = (performance.now() - judging) / scans
  const adding = performance.now()
  for (const entry of own) model.add(entry)
  const addMs = (performance.now() - adding) / own.length
  console.log(
    `on the phone: laid over in ${builtMs.toFixed(1)} ms, judged in ${judgeMs.toFixed(3)} ms a ` +
      `scan, one more own graft in ${addMs.toFixed(3)} ms`,
  )
}

const kB = (size: number) => `${(size / 1000).toFixed(0)} kB`

function nursery(): SmallSeason {
  const season = new SmallSeason('bench snapshot', '2027-01-10T08:00:00Z')
  season.source('source')
  season.place('room')
  season.place('tank', { placeKind: 'tank', cooled: false })
  season.add('block.registered', { blockId: season.id('block'), name: 'Upper', note: '' })
  for (let nr = 0; nr < rowCount; nr += 1) {
    const row = { sequence: nr + 1, label: String(nr + 1), positionCount: vinesPerRow }
    season.row(`row ${nr}`, row)
  }
  for (let nr = 0; nr < lotCount; nr += 1) {
    const bundles = [0, 1, 2, 3].map((bundle) => {
      return { bundleId: season.id(`bundle ${nr} ${bundle}`), unit: 'stick' as const, count: 25 }
    })
    season.cut(`lot ${nr}`, { bundles })
  }
  for (let nr = 0; nr < lotCount; nr += 1) {
    if (nr % 20 === 0) season.bath(`bath ${nr}`)
    const bath = `bath ${nr - (nr % 20)}`
    season.soak(`lot ${nr}`, 50, bath)
    season.liftOut(`lot ${nr}`, 50, bath)
    season.handOver(`lot ${nr}`, 50)
  }
  const done = rowCount * vinesPerRow - graftsSince
  for (let nr = 0; nr < done; nr += 1) graft(season, nr)
  return season
}

function graft(season: SmallSeason, nr: number): void {
  const rowId = season.id(`row ${Math.floor(nr / vinesPerRow)}`)
  const position = (nr % vinesPerRow) + 1
  const vine = { rowId, position }
  season.graft(`lot ${Math.floor(nr / 25) % lotCount}`, position, { vine })
}
