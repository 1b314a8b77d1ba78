// A database with a recorded season and a folder of keys, for tests of checkpoints and dossiers.
import { mkdtemp, rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import path from 'node:path'
import type { Services } from '../../api/platform/services.ts'
import { newId } from '../../api/platform/clock.ts'
import { freshDatabase } from '../database.ts'
import type { TestDatabase } from '../database.ts'

export type ProofOffice = {
  database: TestDatabase
  services: Services
  folder: string
  /** Lets the clock go on by minutes. */
  later: (minutes: number) => void
  drop: () => Promise<void>
}

/** An empty database, its clock at `time`, with keys of `name` in a folder of its own. */
export async function proofOffice(
  name: string,
  time = '2027-06-01T08:00:00Z',
): Promise<ProofOffice> {
  const database = await freshDatabase()
  const folder = await mkdtemp(path.join(tmpdir(), 'canemark-keys-'))
  let now = new Date(time)
  const nowhere = { sendToFolder: null, sendToUrl: null, mail: null, stamps: null }
  const proof = { keyFolder: folder, keyName: name, ...nowhere }
  const services: Services = {
    db: database.app.db,
    clock: { now: () => now },
    deskDeviceId: newId(),
    proof,
  }
  return {
    database,
    services,
    folder,
    later: (minutes) => {
      now = new Date(now.getTime() + minutes * 60_000)
    },
    drop: async () => {
      await database.drop()
      await rm(folder, { recursive: true, force: true })
    },
  }
}
