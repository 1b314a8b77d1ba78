// Tells a database that cannot answer now from a mistake of ours, in words and with a time to wait.
import { Refusal } from './errors.ts'

/** After so many seconds trying again makes sense. */
const RETRY_SECONDS = 5

/** SQLSTATE codes (PostgreSQL manual, appendix A) of what passes by itself. */
const busy = new Set(['53300', '55P03', '57014', '40P01', '40001', '57P03'])
/** Codes of a connection that was cut: what was under way may have been written or not. */
const cut = new Set(['57P01', '57P02', '25006', '58030', 'ECONNRESET', 'EPIPE'])
/** Codes of a database that cannot be reached at all. */
const away = new Set(['ECONNREFUSED', 'ETIMEDOUT', 'EHOSTUNREACH', 'ENETUNREACH', 'ENOTFOUND'])
const full = new Set(['53100', '53200'])

/** The refusal, status 503, for an error that only says that the database cannot answer now. */
export function databaseTrouble(error: Error): Refusal | null {
  const code = codeOf(error)
  if (full.has(code)) {
    return unavailable(
      'the disk or the memory of the database is full, so nothing was recorded; keep what you ' +
        'have, tell whoever looks after the server, and send it again when there is space',
    )
  }
  if (away.has(code)) {
    return unavailable('the database cannot be reached, so nothing was recorded; try again')
  }
  if (busy.has(code) || /timeout exceeded when trying to connect/.test(error.message)) {
    return unavailable('the database is busy, so nothing was recorded; try again in a moment')
  }
  if (cut.has(code) || code.startsWith('08') || /^Connection terminated/.test(error.message)) {
    return unavailable(
      'the connection to the database was lost half way: look whether it was recorded before you ' +
        'do it again; a device may send the same entries again, for none is recorded twice',
    )
  }
  return null
}

function codeOf(error: Error): string {
  const first = error instanceof AggregateError ? (error.errors[0] as unknown) : error
  if (!(first instanceof Error) || !('code' in first)) return ''
  return typeof first.code === 'string' ? first.code : ''
}

function unavailable(detail: string): Refusal {
  const options = { status: 503, retryAfterSeconds: RETRY_SECONDS } as const
  return new Refusal('database_unavailable', detail, options)
}
