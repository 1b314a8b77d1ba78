// `npm start`: opens the database, serves the office and the machine API, and stops cleanly.
import { openDatabase } from '../db/choose.ts'
import { loadDemo } from '../seed/load.ts'
import { newApp } from './app.ts'
import { personOfCookie } from './office/sign-in/session-cookie.ts'
import { keepSigning } from './journal/keep-signing.ts'
import { deskDevice } from './people/devices.ts'
import { makeFirstLink } from './people/first-run.ts'
import { systemClock } from './platform/clock.ts'
import { plainDoors } from './platform/doors.ts'
import { newLimits } from './platform/limits.ts'
import { listen } from './platform/listen.ts'
import { newLog } from './platform/log.ts'
import { newMetrics } from './platform/metrics.ts'
import { readSettings } from './platform/settings.ts'
import { builtScanner } from './sync/scanner-pages.ts'

const log = (line: string) => console.log(line)

try {
  await start()
} catch (error) {
  console.error(`Canemark did not start: ${error instanceof Error ? error.message : String(error)}`)
  process.exit(1)
}

async function start(): Promise<void> {
  const settings = readSettings(process.env)
  const { host, port, publicOrigin, isProxy, processes, proof } = settings
  const database = await openDatabase(process.env, log)
  const { db, pool } = database.app
  const services = { db, clock: systemClock, deskDeviceId: await deskDevice(db), proof }
  const doors = plainDoors({
    publicOrigin,
    isProxy,
    limits: newLimits(processes > 1 ? pool : null),
    log: newLog(settings.logLevel),
    metrics: newMetrics(db, settings.metricsToken),
    loadDemo: async () => {
      await loadDemo(db, (path, init) => app.request(path, init), systemClock.now())
    },
  })
  const app = newApp(services, personOfCookie, doors)
  builtScanner().catch((error: unknown) => doors.log.error(error, 'the phone app was not built'))
  const server = await listen(app, host, port).catch(async (error: unknown) => {
    await database.close()
    throw error
  })
  const address = publicOrigin ?? addressOf(host, server.port)
  log(`Canemark is at ${address}, on ${database.describe}`)
  await printFirstLink(address)
  const signing = keepSigning(services, proof, log)
  stopOnSignal(async () => {
    await server.stop()
    await signing.stop()
    await database.close()
  })
  void database.lost.then((error) => {
    console.error(error.message)
    process.exit(1)
  })

  async function printFirstLink(at: string): Promise<void> {
    const token = await makeFirstLink(db, systemClock.now())
    if (token === null) return
    log('Nobody is an administrator yet. Open this link within 24 hours; it works once:')
    log(`  ${at}/first/${token}`)
  }
}

/** Where this machine itself finds the server; a wildcard is reached by the loopback address. */
function addressOf(host: string, port: number): string {
  const reachable = host === '0.0.0.0' || host === '::' ? '127.0.0.1' : host
  return `http://${reachable.includes(':') ? `[${reachable}]` : reachable}:${port}`
}

/** The first signal lets answers under way finish; a second one ends the program at once. */
function stopOnSignal(stop: () => Promise<void>): void {
  let isStopping = false
  for (const signal of ['SIGTERM', 'SIGINT'] as const) {
    process.on(signal, () => {
      if (isStopping) process.exit(1)
      isStopping = true
      log('stopping; answers under way are finished first')
      stop().then(
        () => process.exit(0),
        (error: unknown) => {
          console.error(error)
          process.exit(1)
        },
      )
    })
  }
}
