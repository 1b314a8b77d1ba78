// A kill -9 of the server in the middle of pushes loses nothing that it had acknowledged.
import { setTimeout as sleep } from 'node:timers/promises'
import { afterAll, expect, it } from 'vitest'
import { freshDatabase } from '../database.ts'
import { account, known, lehmer, nothingWrong, Sender } from './sender.ts'
import { killServers, ServerProcess } from './server-process.ts'

const roundCount = Number(process.env.CANEMARK_SERVER_KILLS ?? 5)
const perRoundMs = 120_000

afterAll(killServers)

it(
  'after kill -9 of the server during pushes every acknowledged entry is there, nothing is there ' +
    'twice or unsent, facts are whole, and sending again completes the rest (invariant 1)',
  async () => {
    const database = await freshDatabase()
    const random = lehmer(77_021)
    const senders = [1, 2, 3, 4].map((nr) => new Sender(27_100 + nr, 25 * roundCount + 300))
    for (const sender of senders) await sender.enrol(database.app.db)
    let unanswered = 0
    for (let round = 1; round <= roundCount; round += 1) {
      const server = await ServerProcess.start({ DATABASE_URL: database.url })
      const enough = known(senders).acknowledged.size + 10 + Math.floor(random() * 150)
      const sending = senders.map((sender) => sender.run(server.door, () => server.hasEnded))
      while (known(senders).acknowledged.size < enough) await sleep(1)
      await sleep(Math.floor(random() * 12))
      await server.kill()
      await Promise.all(sending)
      const { figures, ...wrong } = await account(database.reader.db, senders)
      expect({ round, ...wrong }).toEqual({ round, ...nothingWrong })
      expect(figures.acknowledged).toBeGreaterThanOrEqual(enough)
      unanswered += figures.sent - figures.acknowledged
      if (round % 10 === 0 || roundCount <= 10) {
        console.log(`round ${round}: ${JSON.stringify(figures)}, 0 lost, 0 twice`)
      }
    }
    const server = await ServerProcess.start({ DATABASE_URL: database.url })
    await Promise.all(senders.map((sender) => sender.run(server.door)))
    await server.kill()
    const { figures, ...wrong } = await account(database.reader.db, senders)
    expect(wrong).toEqual(nothingWrong)
    expect(figures.acknowledged).toBe(figures.sent)
    expect(figures.present).toBe(figures.sent)
    console.log(
      `${roundCount} kills: ${figures.present} entries, each once; ` +
        `${unanswered} were under way when the server died`,
    )
    await database.drop()
  },
  roundCount * perRoundMs,
)
