// Opens the database that comes with Canemark: a real PostgreSQL server of our own on a folder.
import { type Account, chooseAccount } from './account.ts'
import { type EmbeddedUrls, bootstrap, urlsFor } from './bootstrap.ts'
import { claimFolder } from './claim.ts'
import { checkCluster, initialiseCluster, resetAdminPassword } from './cluster.ts'
import { findEnginePackage, prepareEngine, removeOtherEngines } from './engine.ts'
import { EmbeddedDatabaseError } from './errors.ts'
import { type Layout, prepareFolder } from './folder.ts'
import { rememberPort } from './port.ts'
import type { ServerPlan } from './programs.ts'
import { type Secrets, readOrMakeSecrets } from './secrets.ts'
import { type RunningServer, startServer } from './server.ts'

/** A running database. `lost` resolves only when the server ends without `stop()`. */
export type EmbeddedDatabase = {
  urls: EmbeddedUrls
  dataFolder: string
  /** Resolves when the server ended without being asked: the caller should end and restart. */
  lost: Promise<EmbeddedDatabaseError>
  /** Ends sessions, closes cleanly, waits until all is gone. A second call does no harm. */
  stop: () => Promise<void>
}

/**
 * Opens the database in `dataFolder`, making it on the first call. Afterwards the server belongs
 * to this process: nobody else can open the folder, and the server stops when the process exits.
 * After a `kill -9` of this process the server lives on alone; the next call on the folder stops
 * it cleanly and starts anew. `log` gets a line for whatever takes time or was mended.
 *
 * Throws EmbeddedDatabaseError, whose message tells a person what is wrong, where, and how to
 * mend it. Whatever it throws, the data is as it was and the folder is free again.
 */
export async function openEmbedded(options: {
  dataFolder: string
  log?: (line: string) => void
}): Promise<EmbeddedDatabase> {
  const log = options.log ?? (() => undefined)
  const layout = await prepareFolder(options.dataFolder)
  const account = await chooseAccount(layout)
  const claim = await claimFolder(layout, account)
  try {
    const { server, secrets } = await startOn(layout, account, log)
    let stopping: Promise<void> | null = null
    const stop = async () => {
      await server.stop()
      await claim.release()
    }
    return {
      urls: urlsFor(server.port, secrets),
      dataFolder: layout.dataFolder,
      lost: lostWhen(server, layout, () => stopping !== null),
      stop: () => (stopping ??= stop()),
    }
  } catch (error) {
    await claim.release()
    throw error
  }
}

async function startOn(
  layout: Layout,
  account: Account,
  log: (line: string) => void,
): Promise<{ server: RunningServer; secrets: Secrets }> {
  const source = await findEnginePackage()
  const clusterExists = await checkCluster(layout, source)
  const engine = await prepareEngine(layout, account, source, log)
  const context = { account, cwd: layout.dataFolder }
  const secrets = await readOrMakeSecrets(layout, account)
  if (!clusterExists) {
    log(`making a new database in ${layout.database}`)
    await initialiseCluster(layout, account, engine, secrets.admin)
  }
  const server = await startWithPassword({ layout, engine, context, log }, account, secrets)
  try {
    await rememberPort(layout, account, server.port)
    await removeOtherEngines(layout, engine)
  } catch (error) {
    await server.stop()
    throw error
  }
  return { server, secrets }
}

/** Starts and bootstraps; sets a new superuser password when the file's is not the server's. */
async function startWithPassword(
  plan: ServerPlan,
  account: Account,
  secrets: Secrets,
): Promise<RunningServer> {
  for (let isSecond = false; ; isSecond = true) {
    const server = await startServer(plan)
    try {
      if (await bootstrap(server.port, secrets)) return server
    } catch (error) {
      await server.stop()
      throw error
    }
    await server.stop()
    if (isSecond) {
      throw new EmbeddedDatabaseError(
        'server_failed',
        `The server on ${plan.layout.database} does not accept the password in ` +
          `${plan.layout.secretsFile}, nor a new one. See ${plan.layout.logFile}.`,
      )
    }
    plan.log(`${plan.layout.secretsFile} does not fit this database: setting new passwords`)
    await resetAdminPassword(plan.layout, account, plan.engine, secrets.admin)
  }
}

async function lostWhen(
  server: RunningServer,
  layout: Layout,
  isStopping: () => boolean,
): Promise<EmbeddedDatabaseError> {
  await server.ended
  if (isStopping()) await new Promise<never>(() => undefined)
  return new EmbeddedDatabaseError(
    'server_failed',
    `The PostgreSQL server on ${layout.database} has ended by itself. Nothing that was ` +
      `acknowledged is lost. Start Canemark again; the reason is in ${layout.logFile}.`,
  )
}
