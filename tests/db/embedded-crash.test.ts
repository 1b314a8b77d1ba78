// Every acknowledged row outlives kill -9 of the server and its writers together.
import { existsSync } from 'node:fs'
import { readFile } from 'node:fs/promises'
import path from 'node:path'
import { setTimeout as sleep } from 'node:timers/promises'
import { afterAll, expect, test } from 'vitest'
import { openEmbedded } from '../../db/embedded/open.ts'
import {
  ask,
  childrenOf,
  clearAway,
  killHard,
  newFolder,
  runningServerPid,
  startChild,
} from './embedded-processes.ts'

const roundCount = Number(process.env.CANEMARK_CRASH_ROUNDS ?? 5)
const acknowledgedBeforeKill = { least: 50, spread: 400 }
const perRoundMs = 60_000

afterAll(clearAway)

test(
  'every id acknowledged to 4 writers is there after kill -9 of server and writers, and nothing ' +
    'is there that was not sent',
  async () => {
    const dataFolder = await newFolder()
    const random = lehmer(20_251)
    let sentTotal = 0
    for (let round = 1; round <= roundCount; round += 1) {
      const before = (await readIds(dataFolder, 'acknowledged')).size
      const child = startChild(dataFolder, 'write', { round: String(round) })
      await child.urls()
      const { least, spread } = acknowledgedBeforeKill
      const enough = before + least + Math.floor(random() * spread)
      while ((await readIds(dataFolder, 'acknowledged')).size < enough) await sleep(2)

      const server = await runningServerPid(dataFolder)
      const victims = [server, ...childrenOf(server), child.process.pid ?? server]
      // Both orders: a server that dies under its writers, and writers that die first.
      await killHard(round % 2 === 0 ? victims : victims.reverse())
      await child.kill()

      const sent = await readIds(dataFolder, 'sent')
      const acknowledged = await readIds(dataFolder, 'acknowledged')
      const database = await openEmbedded({ dataFolder })
      const present = new Set((await ask(database.urls.owner, 'SELECT id FROM entry')).flat())
      await database.stop()

      const lost = [...acknowledged].filter((id) => !present.has(id))
      const neverSent = [...present].filter((id) => !sent.has(id))
      expect({ round, lost, neverSent }).toEqual({ round, lost: [], neverSent: [] })
      expect(acknowledged.size).toBeGreaterThanOrEqual(enough)
      sentTotal = sent.size
      console.log(
        `round ${round}: ${sent.size} sent, ${acknowledged.size} acknowledged, ` +
          `${present.size} present, ${lost.length} lost, ${neverSent.length} never sent`,
      )
    }
    expect(sentTotal).toBeGreaterThan(roundCount * acknowledgedBeforeKill.least)
  },
  roundCount * perRoundMs,
)

/** The whole lines of a writer's file: a line cut off by the kill was not yet noted. */
async function readIds(dataFolder: string, which: 'sent' | 'acknowledged'): Promise<Set<string>> {
  const file = path.join(dataFolder, `${which}.log`)
  if (!existsSync(file)) return new Set()
  const lines = (await readFile(file, 'utf8')).split('\n')
  return new Set(lines.slice(0, -1))
}

/** The Park–Miller generator, so that rounds kill at varied but repeatable counts. */
function lehmer(seed: number): () => number {
  let state = seed
  return () => {
    state = (state * 48_271) % 2_147_483_647
    return state / 2_147_483_647
  }
}
