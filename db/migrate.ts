// Brings a database up to the newest numbered SQL migration.
import { readdir, readFile } from 'node:fs/promises'
import type { Kysely, Migration, MigrationProvider } from 'kysely'
import { Migrator, sql } from 'kysely'

const folder = new URL('./migrations/', import.meta.url)

/** Reads `migrations/NNNN_name.sql`, in the order of their names. */
export const sqlFiles: MigrationProvider = {
  async getMigrations() {
    const names = (await readdir(folder)).filter((name) => name.endsWith('.sql')).sort()
    const migrations: Record<string, Migration> = {}
    for (const name of names) {
      const text = await readFile(new URL(name, folder), 'utf8')
      migrations[name.replace(/\.sql$/, '')] = {
        up: async (db: Kysely<unknown>) => void (await sql.raw(text).execute(db)),
      }
    }
    return migrations
  },
}

/**
 * Runs every migration that has not run yet, all in one transaction, as the owner.
 * Returns the names of those that ran. Throws with the name of the one that failed; the database
 * is then as it was before.
 */
export async function migrate<T>(owner: Kysely<T>): Promise<string[]> {
  const migrator = new Migrator({ db: owner, provider: sqlFiles })
  const { error, results } = await migrator.migrateToLatest()
  const failed = results?.find((result) => result.status === 'Error')
  if (error !== undefined) {
    const name = failed ? `migration ${failed.migrationName}` : 'migrating'
    throw new Error(`${name} failed and nothing was changed: ${messageOf(error)}`, { cause: error })
  }
  return (results ?? []).map((result) => result.migrationName)
}

/** Names of migrations that have not run in this database yet. */
export async function pendingMigrations<T>(owner: Kysely<T>): Promise<string[]> {
  const all = await new Migrator({ db: owner, provider: sqlFiles }).getMigrations()
  return all.filter(({ executedAt }) => executedAt === undefined).map(({ name }) => name)
}

const messageOf = (error: unknown) => (error instanceof Error ? error.message : String(error))
