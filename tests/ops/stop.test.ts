// A server that is asked to stop answers what it has begun, lets nobody keep it, and loses nothing.
import { connect as openSocket } from 'node:net'
import { setTimeout as sleep } from 'node:timers/promises'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { freshDatabase } from '../database.ts'
import type { TestDatabase } from '../database.ts'
import { account, nothingWrong, Sender } from '../faults/sender.ts'
import { killServers, ServerProcess } from '../faults/server-process.ts'

let database: TestDatabase
beforeAll(async () => {
  database = await freshDatabase()
})
afterAll(async () => {
  await killServers()
  await database.drop()
})

describe('SIGTERM', () => {
  it('during pushes ends the server with code 0; what it acknowledged is there, once', async () => {
    const senders = [1, 2, 3].map((nr) => new Sender(27_700 + nr, 2000))
    for (const sender of senders) await sender.enrol(database.app.db)
    const server = await ServerProcess.start({ DATABASE_URL: database.url })
    const sending = senders.map((sender) => sender.run(server.door, () => server.hasEnded))
    while (senders.some((sender) => sender.acknowledged.size < 30)) await sleep(2)
    server.process.kill('SIGTERM')
    expect(await server.ended).toBe(0)
    await Promise.all(sending)
    const { figures, ...wrong } = await account(database.reader.db, senders)
    expect(wrong).toEqual(nothingWrong)
    // Nothing was cut off half way: what was recorded was also acknowledged.
    expect(figures.present).toBe(figures.acknowledged)
    const statuses = new Set(senders.flatMap((sender) => [...sender.refusals.keys()]))
    expect([...statuses].filter((status) => !['no answer', '503'].includes(status))).toEqual([])
  })

  it('is obeyed although a client keeps a connection open and sends half a request', async () => {
    const server = await ServerProcess.start({ DATABASE_URL: database.url })
    const { hostname, port } = new URL(server.url)
    const sockets = [
      'GET /assets/office.css HTTP/1.1\r\nHost: a\r\n\r\n',
      'GET / HTTP/1.1\r\nHost: a\r\n',
      'POST /api/entries HTTP/1.1\r\nHost: a\r\nContent-Length: 500\r\n\r\n{"entries"',
    ].map((text) => {
      const socket = openSocket(Number(port), hostname, () => socket.write(text))
      socket.on('error', () => undefined)
      return socket
    })
    await sleep(300)
    server.process.kill('SIGTERM')
    expect(await server.ended).toBe(0)
    for (const socket of sockets) socket.destroy()
  }, 60_000)
})
