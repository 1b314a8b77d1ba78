// Sources: the register of the plants that wood is cut from.
import { Hono } from 'hono'
import type { Context } from 'hono'
import type { Env } from '../../platform/services.ts'
import { listSources, SOURCE_PAGE } from '../../sources/read.ts'
import { show } from '../form-page.tsx'
import { Page } from '../layout.tsx'
import { saveStanding, saveTest, showStandingForm, showTestForm } from './changes.tsx'
import { confirmRegister, previewRegister, showRegisterUpload } from './import.tsx'
import { saveInspection, showInspectionForm } from './inspection.tsx'
import { saveSource, showSourceForm } from './register-form.tsx'
import { saveSchemeRule, showSchemes } from './schemes.tsx'
import { showSource } from './source-page.tsx'
import { SourceTable } from './source-table.tsx'

export const sourcePages = new Hono<Env>()

sourcePages.get('/', showRegister)
sourcePages.get('/new', showSourceForm).post(saveSource)
sourcePages.get('/import', showRegisterUpload).post(previewRegister)
sourcePages.post('/import/confirm', confirmRegister)
sourcePages.get('/schemes', showSchemes).post(saveSchemeRule)
sourcePages.get('/:sourceId', showSource)
sourcePages.get('/:sourceId/edit', showSourceForm).post(saveSource)
sourcePages.get('/:sourceId/standing', showStandingForm).post(saveStanding)
sourcePages.get('/:sourceId/inspection', showInspectionForm).post(saveInspection)
sourcePages.get('/:sourceId/test', showTestForm).post(saveTest)

async function showRegister(c: Context<Env>) {
  const text = (c.req.query('find') ?? '').slice(0, 100)
  const page = Math.min(10_000, Math.max(0, Math.trunc(Number(c.req.query('page') ?? 0)) || 0))
  const { db, clock } = c.get('services')
  const sources = await listSources(db, { text, page, now: clock.now() })
  return show(
    c,
    <Page
      c={c}
      title="Sources"
      lead="Registered blocks and vines that wood is cut from, with their standing and tests."
      actions={
        <>
          <a class="button main" href="/sources/new">
            Register a source
          </a>
          <a class="button" href="/sources/import">
            Read from a file
          </a>
          <a class="button" href="/sources/schemes">
            Rules of schemes
          </a>
        </>
      }
    >
      <form class="actions" action="/sources">
        <label for="sources-find">Name, registry number, variety or clone</label>
        <input id="sources-find" name="find" type="search" value={text} />
        <button>Show</button>
      </form>
      {sources.length === 0 ? (
        <p class="note">
          {text === '' ? 'No source is registered yet.' : `No source is like “${text}”.`}
        </p>
      ) : (
        <SourceTable caption={`${sources.length} sources`} sources={sources} />
      )}
      {sources.length === SOURCE_PAGE ? (
        <p>
          <a href={`/sources?find=${encodeURIComponent(text)}&page=${page + 1}`}>More sources</a>
        </p>
      ) : null}
    </Page>,
  )
}
