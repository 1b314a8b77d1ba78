// The choice on an empty database: look around in the demo season, or set up your own nursery.
import { Hono } from 'hono'
import type { Context } from 'hono'
import { sql } from 'kysely'
import type { Database } from '../../../db/connect.ts'
import type { Env } from '../../platform/services.ts'
import { refuse } from '../../platform/errors.ts'
import { show } from '../form-page.tsx'
import { Page } from '../layout.tsx'

export const beginPages = new Hono<Env>()

beginPages.get('/', async (c) => {
  if (!(await isEmpty(c.get('services').db))) return c.redirect('/today', 303)
  return show(
    c,
    <Page c={c} title="Where to begin">
      <div class="columns">
        <section>
          <h2>Your own nursery</h2>
          <p>Name it, enter varieties, cold store, sources and blocks, then cut the first lot.</p>
          <p>
            <a class="button main" href="/nursery/profile">
              Set up your own nursery
            </a>
          </p>
        </section>
        {c.get('doors').loadDemo === null ? null : <DemoChoice />}
      </div>
    </Page>,
  )
})

function DemoChoice() {
  return (
    <section>
      <h2>The demo season</h2>
      <p>
        Two springs of an invented nursery, to look around in. It can only be loaded while there is
        no entry, and what is written cannot be deleted: for your own records, start again on an
        empty data folder. Its people have no passwords: under People you can give them one.
      </p>
      <form method="post" action="/begin/demo">
        <button>Load the demo</button>
      </form>
    </section>
  )
}

beginPages.post('/demo', async (c) => {
  await loadOnce(c)
  return c.redirect('/today', 303)
})

const demoLock = 7263006

/** One load at a time, over all processes; whoever comes second finds the database in use. */
async function loadOnce(c: Context<Env>): Promise<void> {
  const { loadDemo } = c.get('doors')
  const services = c.get('services')
  if (loadDemo === null) refuse('no_demo', 'this server was started without the demo')
  await services.db.connection().execute(async (own) => {
    const got = await sql<{ got: boolean }>`
      select pg_try_advisory_lock(${demoLock}::bigint) as got`.execute(own)
    if (got.rows[0]?.got !== true) refuse('not_empty', 'the demo is being loaded: wait for it')
    try {
      if (!(await isEmpty(own))) {
        refuse('not_empty', 'this database is in use: the demo loads into an empty one only')
      }
      await loadDemo(services, c.get('person'))
    } finally {
      await sql`select pg_advisory_unlock(${demoLock}::bigint)`.execute(own)
    }
  })
}

async function isEmpty(db: Database): Promise<boolean> {
  const found = await sql<{ used: boolean }>`select exists (select 1 from entry) as used`.execute(
    db,
  )
  return found.rows[0]?.used !== true
}
