// A bounded load on loopback: 200 devices pushing while 20 people read, against pushing alone.
import { performance } from 'node:perf_hooks'
import { newApp } from '../../api/app.ts'
import { personOfCookie } from '../../api/office/sign-in/session-cookie.ts'
import { deskDevice, makeMachine } from '../../api/people/devices.ts'
import { addPersonWithRole } from '../../api/people/people.ts'
import { beginSession } from '../../api/people/sessions.ts'
import { plainDoors } from '../../api/platform/doors.ts'
import { listen } from '../../api/platform/listen.ts'
import { connect } from '../../db/connect.ts'
import type { Database } from '../../db/connect.ts'
import type { Entry } from '#wire/entry.ts'
import { EntryWriter, idOf, seeded } from '../sim/season.ts'
import { asAdmin, migratedDatabase, withDatabase } from '../server.ts'

const deviceCount = 200
const batchesEach = 5
const entriesPerBatch = 20
const readerCount = 20
const readPaths = ['/today', '/lots', '/journal', '/blocks']

/** Prints pushes and pages a second with the time that 19 of 20 took at most, and the ratio. */
export async function benchLoad(adminUrl: string): Promise<void> {
  const name = await migratedDatabase(adminUrl, 'canemark_bench')
  const connected = connect(withDatabase(adminUrl, name), 'app')
  const { db } = connected
  const desk = { deviceId: await deskDevice(db), personId: idOf('load'), now: new Date() }
  const services = { db, clock: { now: () => new Date() }, deskDeviceId: desk.deviceId }
  const server = await listen(newApp(services, personOfCookie, plainDoors()), '127.0.0.1', 0)
  const address = `http://127.0.0.1:${server.port}`
  const cookie = await reader(db)
  const alone = await run(address, await machines(db, desk, 'alone'), null)
  const together = await run(address, await machines(db, desk, 'together'), cookie)
  const ratio = (together.seconds / alone.seconds).toFixed(2)
  console.log(`${deviceCount} devices push ${pushed} entries; 19 of 20 answers within:`)
  console.log(`  alone ${words(alone)}`)
  console.log(`  with ${readerCount} readers ${words(together)}, ratio ${ratio}`)
  await server.stop()
  await connected.close()
  await asAdmin(adminUrl, `drop database ${name} with (force)`)
}

const pushed = deviceCount * batchesEach * entriesPerBatch

type Run = { seconds: number; pushMs: number[]; pageMs: number[] }

function words({ seconds, pushMs, pageMs }: Run): string {
  const pages = pageMs.length === 0 ? '' : `, ${pageMs.length} pages ${within(pageMs)} ms`
  return `${Math.round(pushed / seconds)} entries/s, pushes ${within(pushMs)} ms${pages}`
}

/** The time within which nineteen of twenty were done. */
function within(times: number[]): number {
  const sorted = [...times].sort((a, b) => a - b)
  return Math.round(sorted[Math.floor(sorted.length * 0.95)] ?? 0)
}

type Machine = { token: string; batches: Entry[][] }

async function machines(
  db: Database,
  desk: { deviceId: string; personId: string; now: Date },
  label: string,
): Promise<Machine[]> {
  const made: Machine[] = []
  for (let nr = 0; nr < deviceCount; nr += 1) {
    const machine = { name: `${label} ${nr}`, writeKinds: ['graft.made' as const], mayRead: false }
    const { deviceId, token } = await makeMachine(db, desk, machine)
    made.push({ token, batches: batchesOf(deviceId, `${label} ${nr}`) })
  }
  return made
}

function batchesOf(device: string, label: string): Entry[][] {
  const writer = new EntryWriter(seeded(1), '2026-04-12T06:30:00Z', label)
  for (let at = 0; at < batchesEach * entriesPerBatch; at += 1) {
    const body = {
      vine: { rowId: idOf(`row ${label}`), position: 1 + at },
      ...{ lotId: idOf(`lot ${label}`), bundleId: null, method: 'chip bud', budCount: 2 },
      from: { kind: 'holder' as const, id: idOf(`crew ${label}`) },
      ...{ knifeId: null, tie: null, note: '' },
    }
    writer.add('graft.made', body, { device })
  }
  return Array.from({ length: batchesEach }, (_, nr) =>
    writer.entries.slice(nr * entriesPerBatch, (nr + 1) * entriesPerBatch),
  )
}

async function reader(db: Database): Promise<string> {
  const details = { name: 'A reader', role: 'office' as const, signInName: 'reader' }
  const personId = await addPersonWithRole(db, details)
  return `canemark=${await beginSession(db, { personId }, 'bench', new Date())}`
}

/** Every device sends its batches one after the other; readers go round until all are done. */
async function run(address: string, devices: Machine[], cookie: string | null): Promise<Run> {
  const result: Run = { seconds: 0, pushMs: [], pageMs: [] }
  const began = performance.now()
  let isPushing = true
  const readers = Array.from({ length: cookie === null ? 0 : readerCount }, async (_, nr) => {
    for (let at = nr; isPushing; at += 1) {
      const path = readPaths[at % readPaths.length] ?? '/today'
      await timed(result.pageMs, 200, `${address}${path}`, { headers: { cookie: cookie ?? '' } })
    }
  })
  await Promise.all(
    devices.map(async ({ token, batches }) => {
      for (const entries of batches) {
        await timed(result.pushMs, 200, `${address}/api/entries`, {
          method: 'POST',
          headers: { 'content-type': 'application/json', authorization: `Bearer ${token}` },
          body: JSON.stringify({ entries }),
        })
      }
    }),
  )
  isPushing = false
  result.seconds = (performance.now() - began) / 1000
  await Promise.all(readers)
  return result
}

async function timed(times: number[], status: number, url: string, init: RequestInit) {
  const began = performance.now()
  const response = await fetch(url, init)
  const text = await response.text()
  if (response.status !== status) throw new Error(`${url}: ${response.status} ${text}`)
  times.push(performance.now() - began)
}
