// Makes sure that at most one live Node process holds a data folder.
import { randomUUID } from 'node:crypto'
import { rmSync } from 'node:fs'
import { mkdir, readFile, readdir, rename, rm, stat, utimes, writeFile } from 'node:fs/promises'
import { hostname } from 'node:os'
import path from 'node:path'
import { setTimeout as sleep } from 'node:timers/promises'
import { z } from 'zod'
import { type Account, giveToFolderOwner } from './account.ts'
import { EmbeddedDatabaseError, inWords, systemCode } from './errors.ts'
import type { Layout } from './folder.ts'
import { isStill, look, placeOfSight } from './processes.ts'

/** The right to use a data folder, held until released or until this process dies. */
export type Claim = { release: () => Promise<void>; releaseNow: () => void }

const beatMs = 2_000
const beatsUntilDead = 5
const pollMs = 50
const undecidedLimitMs = 60_000

const claimShape = z.strictObject({
  pid: z.int(),
  identity: z.nullable(z.string()),
  place: z.string(),
  host: z.string(),
  claimedAt: z.string(),
})
type ClaimRecord = z.infer<typeof claimShape>

/**
 * Claims the data folder or throws `folder_in_use`, naming the process that has it.
 *
 * Each process writes a file of its own that nobody else ever reuses, then reads those of the
 * others. So there is no moment at which clearing away a dead claim could hit a live one. Of two
 * processes that claim at once, the one with the smaller token goes on: the other withdraws, and
 * the first waits until it has. A claim holds by process id and start time, not by id alone. A
 * claim from another machine or container, where process ids say nothing, holds while its file
 * is being touched.
 */
export async function claimFolder(layout: Layout, account: Account): Promise<Claim> {
  const token = randomUUID()
  const claimFile = path.join(layout.claims, `${token}.claim`)
  const ownerFile = path.join(layout.claims, `${token}.owner`)
  const place = await placeOfSight()
  try {
    await mkdir(layout.claims, { recursive: true, mode: 0o700 })
    await giveToFolderOwner(layout.claims, account)
    await writeClaim(claimFile, place, account)
  } catch (error) {
    throw inWords(error, layout.dataFolder)
  }
  const beat = setInterval(() => {
    const now = new Date()
    // A beat that fails is missed, no more: the file may be gone because we are just closing.
    utimes(claimFile, now, now).catch(() => undefined)
  }, beatMs)
  beat.unref()
  const claim = {
    release: async () => {
      clearInterval(beat)
      await rm(ownerFile, { force: true })
      await rm(claimFile, { force: true })
    },
    releaseNow: () => {
      clearInterval(beat)
      rmSync(ownerFile, { force: true })
      rmSync(claimFile, { force: true })
    },
  }
  try {
    await outlastOthers(layout, token, place)
    await writeFile(ownerFile, '')
    await giveToFolderOwner(ownerFile, account)
    return claim
  } catch (error) {
    await claim.release()
    throw inWords(error, layout.dataFolder)
  }
}

async function writeClaim(claimFile: string, place: string, account: Account): Promise<void> {
  const self = await look(process.pid)
  const record: ClaimRecord = {
    pid: process.pid,
    identity: self.state === 'alive' ? self.identity : null,
    place,
    host: hostname(),
    claimedAt: new Date().toISOString(),
  }
  const unfinished = `${claimFile}.tmp`
  await writeFile(unfinished, JSON.stringify(record), { mode: 0o600 })
  await giveToFolderOwner(unfinished, account)
  await rename(unfinished, claimFile)
}

async function outlastOthers(layout: Layout, token: string, place: string): Promise<void> {
  const deadline = Date.now() + undecidedLimitMs
  for (;;) {
    let undecided: ClaimRecord | null = null
    for (const name of await readdir(layout.claims)) {
      const other = name.replace(/\.claim$/, '')
      if (other === name || other === token) continue
      const record = await readLiveClaim(layout, other, place)
      if (!record) continue
      const owns = (await readdir(layout.claims)).includes(`${other}.owner`)
      if (owns || token > other || Date.now() > deadline) throw inUse(layout, record)
      undecided = record
    }
    if (!undecided) return
    await sleep(pollMs)
  }
}

/** The claim when its process lives; null, and the claim's files cleared, when it does not. */
async function readLiveClaim(
  layout: Layout,
  token: string,
  place: string,
): Promise<ClaimRecord | null> {
  const file = path.join(layout.claims, `${token}.claim`)
  const text = await readFile(file, 'utf8').catch((error: unknown) => {
    if (systemCode(error) === 'ENOENT') return null
    throw error
  })
  if (text === null) return null
  const record = parseClaim(text)
  const lives =
    record !== null &&
    (record.place === place ? await isStill(record.pid, record.identity) : await isTouched(file))
  if (lives) return record
  await rm(path.join(layout.claims, `${token}.owner`), { force: true })
  await rm(file, { force: true })
  return null
}

/** Claims appear whole or not at all, so a broken one was left by a crash of the machine. */
function parseClaim(text: string): ClaimRecord | null {
  try {
    return claimShape.parse(JSON.parse(text))
  } catch {
    return null
  }
}

async function isTouched(file: string): Promise<boolean> {
  const modified = async () => (await stat(file).catch(() => null))?.mtimeMs ?? null
  const before = await modified()
  const deadline = Date.now() + beatMs * beatsUntilDead
  while (Date.now() < deadline) {
    await sleep(pollMs)
    const now = await modified()
    if (now === null) return false
    if (now !== before) return true
  }
  return false
}

function inUse(layout: Layout, other: ClaimRecord): EmbeddedDatabaseError {
  return new EmbeddedDatabaseError(
    'folder_in_use',
    `The data folder ${layout.dataFolder} is in use by another Canemark: process ${other.pid} ` +
      `on ${other.host}, since ${other.claimedAt}. Stop that one first, or name another folder ` +
      `with CANEMARK_DATA.`,
  )
}
