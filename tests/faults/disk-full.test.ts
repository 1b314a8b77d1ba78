// A full disk stops recording with a clear answer; nothing acknowledged is lost, nothing half kept.
import { readdir } from 'node:fs/promises'
import path from 'node:path'
import { setTimeout as sleep } from 'node:timers/promises'
import { afterAll, expect, it } from 'vitest'
import { backup } from '../../api/journal/backup.ts'
import { restore } from '../../api/journal/restore.ts'
import { joinDatabase } from '../../db/choose.ts'
import { freshDatabase } from '../database.ts'
import { childrenOf, killHard, serverPid } from '../db/embedded-processes.ts'
import { recordSeason } from '../ops/recorded-season.ts'
import { account, known, nothingWrong, Sender } from './sender.ts'
import { killServers, ServerProcess } from './server-process.ts'
import { mountSmallDisk } from './small-disk.ts'
import type { SmallDisk } from './small-disk.ts'

const toldLeast = 30
const disks: SmallDisk[] = []
afterAll(async () => {
  await killServers()
  for (const disk of disks) {
    const pid = await serverPid(path.join(disk.folder, 'data'))
    if (pid !== null) await killHard([pid, ...childrenOf(pid)])
    disk.unmount()
  }
})

function smallDisk(...given: Parameters<typeof mountSmallDisk>): SmallDisk {
  const disk = mountSmallDisk(...given)
  disks.push(disk)
  return disk
}

it(
  'the disk of the embedded database fills up during pushes: phones are told, every acknowledged ' +
    'entry is there, and with space again the rest is recorded once (invariant 1)',
  async (context) => {
    const disk = smallDisk(context, 320)
    const environment = { CANEMARK_DATA: path.join(disk.folder, 'data') }
    let server = await ServerProcess.start(environment)
    let database = await joinDatabase(environment)
    const senders = [1, 2].map((nr) => new Sender(27_500 + nr, 3000))
    for (const sender of senders) await sender.enrol(database.app.db)
    await database.close()
    let isOver = false
    const sending = senders.map((sender) =>
      sender.run(server.door, () => isOver || server.hasEnded),
    )
    while (known(senders).acknowledged.size < 150) await sleep(5)
    await disk.fill()
    // Long enough for the log of the database, too, to find no more space.
    const refusals = () => senders.flatMap((sender) => [...sender.refusals.values()])
    const isTold = () => refusals().reduce((sum, count) => sum + count, 0) >= toldLeast
    while (!isTold() && !senders.every((sender) => sender.isDone)) await sleep(5)
    const answers = senders.flatMap((sender) => [...sender.refusals.keys()])
    expect(answers.length).toBeGreaterThan(0)
    expect(answers.filter((answer) => !['503', 'no answer'].includes(answer))).toEqual([])
    isOver = true
    await Promise.all(sending)
    const acknowledged = known(senders).acknowledged.size
    await server.kill()

    await disk.free()
    server = await ServerProcess.start(environment)
    database = await joinDatabase(environment)
    const found = await account(database.reader.db, senders)
    console.log(
      `${acknowledged} acknowledged until the disk was full (answers: ${answers.join(', ')}); ` +
        `${found.lost.length} lost`,
    )
    expect(found).toMatchObject(nothingWrong)
    const rest = senders.map((sender) => {
      const until = Math.min(sender.acknowledged.size + 70, 3000)
      return sender.run(server.door, () => sender.acknowledged.size >= until)
    })
    await Promise.all(rest)
    const { figures, ...wrong } = await account(database.reader.db, senders)
    expect(wrong).toEqual(nothingWrong)
    expect(figures.acknowledged).toBeGreaterThan(acknowledged)
    await database.close()
    await server.kill()
  },
  300_000,
)

it('a backup onto a full disk says so and leaves nothing; the next is whole', async (context) => {
  const disk = smallDisk(context, 2)
  const origin = await freshDatabase()
  const copy = await freshDatabase()
  try {
    const entries = await recordSeason(origin.app.db, 27_510, 1200)
    await disk.fill()
    const folder = path.join(disk.folder, 'night')
    const now = new Date('2027-03-02T01:30:00Z')
    await expect(backup(origin.owner.db, folder, now)).rejects.toThrow(
      /the disk that holds .* is full: no backup was written and nothing was left/,
    )
    expect(await readdir(disk.folder)).toEqual(['ballast'])
    await disk.free()
    expect((await backup(origin.owner.db, folder, now)).entries).toBe(entries.length)
    expect((await restore(copy.owner.db, folder)).verified.entries).toBe(entries.length)
  } finally {
    await origin.drop()
    await copy.drop()
  }
})
