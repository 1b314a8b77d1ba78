// The choice on an empty database: look around in the demo season, or set up your own nursery.
import { Hono } from 'hono'
import type { Env } from '../../platform/services.ts'
import { refuse } from '../../platform/errors.ts'
import { show } from '../form-page.tsx'
import { Page } from '../layout.tsx'

export const beginPages = new Hono<Env>()

beginPages.get('/', async (c) => {
  const { db } = c.get('services')
  const used = await db.selectFrom('entry').select('id').limit(1).executeTakeFirst()
  if (used !== undefined) return c.redirect('/today', 303)
  return show(
    c,
    <Page c={c} title="Where to begin">
      <div class="columns">
        <section>
          <h2>Your own nursery</h2>
          <p>Name it, enter varieties, cold store, sources and blocks, then cut the first lot.</p>
          <a class="button main" href="/today">
            Set up your own nursery
          </a>
        </section>
        <section>
          <h2>The demo season</h2>
          <p>
            Two springs of an invented nursery, to look around in. It can only be loaded while there
            is no entry, and what is written cannot be deleted: for your own records, start again on
            an empty data folder.
          </p>
          <form method="post" action="/begin/demo">
            <button>Load the demo</button>
          </form>
        </section>
      </div>
    </Page>,
  )
})

beginPages.post('/demo', async (c) => {
  const { loadDemo } = c.get('doors')
  const person = c.get('person')
  if (loadDemo === null) refuse('no_demo', 'this server was started without the demo')
  if (person.role !== 'administrator') refuse('not_allowed', 'only an administrator may do this')
  await loadDemo(c.get('services'), person)
  return c.redirect('/today', 303)
})
