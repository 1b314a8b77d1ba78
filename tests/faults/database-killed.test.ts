// A kill -9 of PostgreSQL under the running server loses nothing that was acknowledged.
import { setTimeout as sleep } from 'node:timers/promises'
import { afterAll, expect, it } from 'vitest'
import { joinDatabase } from '../../db/choose.ts'
import {
  childrenOf,
  clearAway,
  killHard,
  preparedFolder,
  runningServerPid,
} from '../db/embedded-processes.ts'
import { account, known, lehmer, nothingWrong, Sender } from './sender.ts'
import { killServers, ServerProcess } from './server-process.ts'

const roundCount = Number(process.env.CANEMARK_FAULT_ROUNDS ?? 2)
const perRoundMs = 180_000

afterAll(async () => {
  await killServers()
  await clearAway()
})

it(
  'after kill -9 of all PostgreSQL processes during pushes the server ends by itself, and ' +
    'the next one has every acknowledged entry once, with whole facts (invariant 1)',
  async () => {
    const dataFolder = await preparedFolder()
    const environment = { CANEMARK_DATA: dataFolder }
    const random = lehmer(4_099)
    const senders = [1, 2, 3].map((nr) => new Sender(27_200 + nr, 60 * roundCount + 200))
    for (let round = 1; round <= roundCount; round += 1) {
      const server = await ServerProcess.start(environment)
      const database = await joinDatabase(environment)
      if (round === 1) for (const sender of senders) await sender.enrol(database.app.db)
      await database.close()
      const enough = known(senders).acknowledged.size + 10 + Math.floor(random() * 100)
      const sending = senders.map((sender) => sender.run(server.door, () => server.hasEnded))
      while (known(senders).acknowledged.size < enough) await sleep(1)
      const postgres = await runningServerPid(dataFolder)
      await killHard([postgres, ...childrenOf(postgres)])
      expect(await server.ended).not.toBe(0)
      await Promise.all(sending)
      expect(server.output).toContain('Nothing that was acknowledged is lost')
    }
    const server = await ServerProcess.start(environment)
    const database = await joinDatabase(environment)
    const after = await account(database.reader.db, senders)
    console.log(`after ${roundCount} kills: ${JSON.stringify(after.figures)}, 0 lost, 0 twice`)
    expect(after).toMatchObject(nothingWrong)
    await Promise.all(senders.map((sender) => sender.run(server.door)))
    const { figures, ...wrong } = await account(database.reader.db, senders)
    expect(wrong).toEqual(nothingWrong)
    expect(figures).toEqual({
      sent: figures.sent,
      acknowledged: figures.sent,
      present: figures.sent,
    })
    await database.close()
    await server.kill()
  },
  (roundCount + 2) * perRoundMs,
)
