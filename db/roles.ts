// Creates the three roles Canemark works with, on any PostgreSQL server, as often as asked.
import pg from 'pg'

/** Passwords to set; a role without one keeps the password it has, or has none. */
export type RolePasswords = { owner?: string; app?: string; reader?: string }

const roleKeys = ['owner', 'app', 'reader'] as const
const attemptLimit = 20
const advisoryKey = 0x63616e65

/**
 * Makes sure that the login roles canemark_owner (migrates and rebuilds), canemark_app (writes
 * entries and facts) and canemark_reader (only reads) exist, none of them a superuser.
 *
 * Roles belong to the whole server, so several processes may do this at once in different
 * databases: every statement is safe to lose a race and is then tried again.
 * `admin` must be allowed to create roles: a connection URL or an open client, outside a
 * transaction. Throws an Error in words when a role exists with more power than it may have.
 */
export async function ensureRoles(
  admin: string | pg.ClientBase,
  passwords: RolePasswords = {},
): Promise<void> {
  if (typeof admin !== 'string') return ensureRolesWith(admin, passwords)
  const client = new pg.Client({ connectionString: admin })
  // A lost connection fails the query in hand; without this it would end Node itself.
  client.on('error', () => undefined)
  await client.connect()
  try {
    await ensureRolesWith(client, passwords)
  } finally {
    await client.end()
  }
}

async function ensureRolesWith(client: pg.ClientBase, passwords: RolePasswords): Promise<void> {
  // This lock reaches only callers in the same database; the retries cover the others.
  await client.query('SELECT pg_advisory_lock($1)', [advisoryKey])
  try {
    for (const key of roleKeys) {
      const role = `canemark_${key}`
      await untilSettled(() => createRole(client, role))
      await refusePowerful(client, role)
      await untilSettled(() => joinRole(client, role))
      const password = passwords[key]
      if (password !== undefined) {
        const literal = client.escapeLiteral(password)
        await untilSettled(() => client.query(`ALTER ROLE ${role} LOGIN PASSWORD ${literal}`))
      }
    }
  } finally {
    await client.query('SELECT pg_advisory_unlock($1)', [advisoryKey])
  }
}

async function createRole(client: pg.ClientBase, role: string): Promise<void> {
  const found = await client.query('SELECT 1 FROM pg_roles WHERE rolname = $1', [role])
  if (found.rowCount !== 0) return
  await client.query(
    `CREATE ROLE ${role} LOGIN NOSUPERUSER NOCREATEDB NOCREATEROLE NOREPLICATION NOBYPASSRLS`,
  )
}

/** Grants and triggers do not bind these roles when somebody has made them all-powerful. */
async function refusePowerful(client: pg.ClientBase, role: string): Promise<void> {
  const found = await client.query(
    `SELECT 1 FROM pg_roles WHERE rolname = $1
       AND (rolsuper OR rolcreaterole OR rolreplication OR rolbypassrls)`,
    [role],
  )
  if (found.rowCount === 0) return
  throw new Error(
    `The role ${role} on this server may do more than it should, so nothing would be safe from ` +
      `it. Mend it with: ALTER ROLE ${role} NOSUPERUSER NOCREATEROLE NOREPLICATION NOBYPASSRLS`,
  )
}

/**
 * An administrator who is not a superuser can act as a role only as its member, and from
 * PostgreSQL 16 on only with the right to SET it, which creating a role does not bring.
 */
async function joinRole(client: pg.ClientBase, role: string): Promise<void> {
  const setArrived = 160_000
  const { rows } = await client.query<{ may: boolean }>(
    `SELECT pg_has_role(current_user, $1, CASE
         WHEN current_setting('server_version_num')::int >= ${setArrived} THEN 'SET'
         ELSE 'MEMBER' END) AS may`,
    [role],
  )
  if (rows[0]?.may !== true) await client.query(`GRANT ${role} TO CURRENT_USER`)
}

/** Tries again when another process changed the same role at the same moment. */
async function untilSettled(statement: () => Promise<unknown>): Promise<void> {
  for (let attempt = 1; ; attempt += 1) {
    try {
      await statement()
      return
    } catch (error) {
      if (attempt >= attemptLimit || !lostRace(error)) throw error
    }
  }
}

function lostRace(error: unknown): boolean {
  if (!(error instanceof pg.DatabaseError)) return false
  const duplicateObject = '42710'
  const uniqueViolation = '23505'
  if (error.code === duplicateObject || error.code === uniqueViolation) return true
  return /tuple concurrently (updated|deleted)/.test(error.message)
}
