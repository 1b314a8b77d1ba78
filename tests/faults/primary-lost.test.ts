// The primary's machine is gone and the synchronous standby takes over: nothing is missing.
import { setTimeout as sleep } from 'node:timers/promises'
import { afterAll, expect, it } from 'vitest'
import { connect } from '../../db/connect.ts'
import { migratedDatabase, withDatabase } from '../server.ts'
import { startPair } from './clusters.ts'
import type { Pair } from './clusters.ts'
import { account, known, nothingWrong, Sender } from './sender.ts'
import { killServers, ServerProcess } from './server-process.ts'

const enough = 200
let pair: Pair | null = null

afterAll(async () => {
  await killServers()
  await pair?.stop()
})

it(
  'a primary lost during pushes, its synchronous standby promoted: every acknowledged entry is ' +
    'there once, with whole facts, and work goes on (invariant 1)',
  async () => {
    pair = await startPair()
    const { primary, standby } = pair
    const name = await migratedDatabase(primary.adminUrl, 'canemark')
    const senders = [1, 2, 3, 4].map((nr) => new Sender(27_400 + nr, 220))
    const before = connect(withDatabase(primary.adminUrl, name), 'app', { max: 1 })
    for (const sender of senders) await sender.enrol(before.db)
    await before.close()

    const url = withDatabase(primary.adminUrl, name)
    const server = await ServerProcess.start({ DATABASE_URL: url })
    let isLost = false
    const sending = senders.map((sender) => sender.run(server.door, () => isLost))
    while (known(senders).acknowledged.size < enough) await sleep(1)
    await pair.losePrimary()
    await pair.promoteStandby()
    // The server lives on without its database and says so, instead of dying or hanging.
    const told = () => senders.some((sender) => sender.refusals.has('503'))
    while (!told()) await sleep(10)
    isLost = true
    await Promise.all(sending)
    expect(server.hasEnded).toBe(false)
    await server.kill()

    const promoted = withDatabase(standby.adminUrl, name)
    const reader = connect(promoted, 'reader', { max: 2 })
    const found = await account(reader.db, senders)
    console.log(
      `${pair.programs}: ${JSON.stringify(found.figures)} on the promoted standby, ` +
        `${found.lost.length} acknowledged entries missing`,
    )
    expect(found).toMatchObject(nothingWrong)
    const successor = await ServerProcess.start({ DATABASE_URL: promoted })
    await Promise.all(senders.map((sender) => sender.run(successor.door)))
    const { figures, ...wrong } = await account(reader.db, senders)
    expect(wrong).toEqual(nothingWrong)
    expect(figures.present).toBe(figures.sent)
    expect(figures.acknowledged).toBe(figures.sent)
    await reader.close()
    await successor.kill()
  },
  300_000,
)
