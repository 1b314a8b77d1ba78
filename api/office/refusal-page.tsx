// The page for a refusal that no form took, or for a failure of ours.
import type { Context } from 'hono'
import { databaseTrouble } from '../platform/database-trouble.ts'
import { Refusal } from '../platform/errors.ts'
import type { Env } from '../platform/services.ts'
import { show } from './form-page.tsx'
import { Page } from './layout.tsx'

/** Shows what was refused and why; a failure of ours is logged and shown without its insides. */
export function refusalPage(c: Context<Env>, error: Error): Response | Promise<Response> {
  if (!(error instanceof Refusal)) c.get('doors').log.error(error)
  const refusal = error instanceof Refusal ? error : databaseTrouble(error)
  c.set('refusal', refusal?.code ?? 'our_mistake')
  const page = (
    <Page c={c} title={refusal === null ? 'The server failed' : 'Not possible'}>
      <p class="note">{refusal?.message ?? 'Nothing was changed. Try again; the log says more.'}</p>
      <p>
        <a href="/today">To today’s work</a>
      </p>
    </Page>
  )
  const wait = refusal?.retryAfterSeconds ?? null
  if (wait !== null) c.header('retry-after', String(wait))
  return show(c, page, refusal?.status ?? 500)
}
