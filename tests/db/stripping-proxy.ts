// A way to a PostgreSQL server that drops startup options, as some connection poolers do.
import { connect, createServer } from 'node:net'
import type { AddressInfo, Socket } from 'node:net'

/**
 * Listens on loopback and passes everything on, but for `options` in the startup message
 * (PostgreSQL manual, "Message Formats": length, protocol version, then name and value by turns).
 */
export async function strippingProxy(
  target: URL,
): Promise<{ port: number; stop: () => Promise<void> }> {
  const sockets = new Set<Socket>()
  const server = createServer((client) => {
    const upstream = connect(Number(target.port || 5432), target.hostname)
    for (const socket of [client, upstream]) {
      sockets.add(socket)
      socket.on('error', () => undefined)
      socket.on('close', () => sockets.delete(socket))
    }
    client.once('data', (startup: Buffer) => {
      upstream.write(withoutOptions(startup))
      client.pipe(upstream).pipe(client)
    })
  })
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve))
  const stop = async () => {
    for (const socket of sockets) socket.destroy()
    await new Promise((resolve) => server.close(resolve))
  }
  return { port: (server.address() as AddressInfo).port, stop }
}

function withoutOptions(startup: Buffer): Buffer {
  const words = startup.subarray(8, -2).toString('utf8').split('\0')
  const kept = words.flatMap((word, nr) => {
    const isName = nr % 2 === 0
    return isName && word !== 'options' ? [word, words[nr + 1] ?? ''] : []
  })
  const text = Buffer.from(`${kept.join('\0')}\0\0`, 'utf8')
  const head = Buffer.from(startup.subarray(0, 8))
  head.writeInt32BE(8 + text.length, 0)
  return Buffer.concat([head, text])
}
