// Makes sure that somebody else's PostgreSQL server has what Canemark needs, or says what lacks.
import pg from 'pg'
import { ensureRoles } from './roles.ts'

/** The oldest major version whose features the migrations use. */
const OLDEST_VERSION = 15

/**
 * Prepares the database behind `ownerUrl`: its version, the three roles, and the owner's right to
 * make tables in it. Does nothing where everything is there. Throws an Error in words otherwise.
 */
export async function prepareServer(ownerUrl: string): Promise<void> {
  const client = new pg.Client({ connectionString: ownerUrl })
  // A lost connection fails the query in hand; without this it would end Node itself.
  client.on('error', () => undefined)
  try {
    await client.connect()
  } catch (error) {
    throw new Error(
      `the database at ${where(ownerUrl)} cannot be opened (${messageOf(error)}). ` +
        'Is the server running, and are address, user and password right?',
      { cause: error },
    )
  }
  try {
    await refuseOld(client)
    if (!(await hasRoles(client))) await makeRoles(client)
    await mayMakeTables(client, ownerUrl)
  } finally {
    await client.end()
  }
}

async function refuseOld(client: pg.Client): Promise<void> {
  const { rows } = await client.query<{ number: number }>(
    `select current_setting('server_version_num')::int as number`,
  )
  const major = Math.floor((rows[0]?.number ?? 0) / 10_000)
  if (major >= OLDEST_VERSION) return
  throw new Error(`this is PostgreSQL ${major}; Canemark needs ${OLDEST_VERSION} or newer`)
}

/** The roles are there, and this login may at least act as the owner. */
async function hasRoles(client: pg.Client): Promise<boolean> {
  const { rows } = await client.query<{ ready: boolean }>(
    `select count(*) = 3 and bool_or(rolname = 'canemark_owner'
       and pg_has_role(current_user, oid, 'MEMBER')) as ready
     from pg_roles where rolname in ('canemark_owner', 'canemark_app', 'canemark_reader')`,
  )
  return rows[0]?.ready === true
}

async function makeRoles(client: pg.Client): Promise<void> {
  try {
    await ensureRoles(client)
  } catch (error) {
    throw new Error(
      `the roles canemark_owner, canemark_app and canemark_reader could not be made ready ` +
        `(${messageOf(error)}). Start once with DATABASE_OWNER_URL naming a login that may ` +
        'create roles',
      { cause: error },
    )
  }
}

async function mayMakeTables(client: pg.Client, ownerUrl: string): Promise<void> {
  const { rows } = await client.query<{ may: boolean }>(
    `select has_schema_privilege('canemark_owner', 'public', 'CREATE') as may`,
  )
  if (rows[0]?.may === true) return
  try {
    await client.query('grant usage, create on schema public to canemark_owner')
  } catch (error) {
    const database = new URL(ownerUrl).pathname.slice(1)
    throw new Error(
      `the role canemark_owner may not make tables in ${where(ownerUrl)} (${messageOf(error)}). ` +
        `Mend it as an administrator with: ALTER DATABASE "${database}" OWNER TO canemark_owner`,
      { cause: error },
    )
  }
}

/** Host, port and database of a URL, without user and password. */
function where(url: string): string {
  const { host, pathname } = new URL(url)
  return `${host || 'localhost'}${pathname}`
}

function messageOf(error: unknown): string {
  if (error instanceof AggregateError) return error.errors.map(messageOf).join('; ')
  return error instanceof Error ? error.message : String(error)
}
