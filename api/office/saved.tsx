// Tells, on the page that follows a form, that its entries are in the journal.
import type { Context } from 'hono'
import type { Env } from '../platform/services.ts'

/** The address to go to after saving `entryCount` entries. */
export function afterSaving(path: string, entryCount: number): string {
  return `${path}${path.includes('?') ? '&' : '?'}saved=${entryCount}`
}

/** The note itself; nothing when the page was not reached by saving. */
export function Saved({ c }: { c: Context<Env> }) {
  const count = Number(c.req.query('saved') ?? 0)
  if (!Number.isSafeInteger(count) || count < 1) return null
  return (
    <p class="note" role="status">
      Saved: {count === 1 ? 'one entry' : `${count} entries`} in the journal.
    </p>
  )
}
