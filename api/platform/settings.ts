// What the environment says about serving: where to listen, what to believe, how many processes.
import { proxyList } from './doors.ts'
import { logLevels } from './log.ts'

export type Settings = {
  host: string
  port: number
  /** The address that people and phones use, like `https://vines.example`; null: as asked. */
  publicOrigin: string | null
  isProxy: (address: string) => boolean
  /** How many processes serve one database; with several, tries are counted in it. */
  processes: number
  logLevel: string
  /** Opens the figures at /metrics; null keeps them shut. */
  metricsToken: string | null
}

/**
 * Reads HOST, PORT, CANEMARK_ORIGIN, CANEMARK_PROXIES, CANEMARK_PROCESSES, CANEMARK_LOG and
 * CANEMARK_METRICS_TOKEN. Throws an Error that names the variable, what is wrong with it and how
 * to write it.
 */
export function readSettings(env: Record<string, string | undefined>): Settings {
  return {
    host: given(env.HOST) ?? '127.0.0.1',
    port: wholeNumber('PORT', given(env.PORT) ?? '8720', 0, 65_535),
    publicOrigin: originOf(given(env.CANEMARK_ORIGIN)),
    isProxy: proxyList(env.CANEMARK_PROXIES ?? ''),
    processes: wholeNumber('CANEMARK_PROCESSES', given(env.CANEMARK_PROCESSES) ?? '1', 1, 64),
    logLevel: logLevelOf(given(env.CANEMARK_LOG) ?? 'warn'),
    metricsToken: metricsTokenOf(given(env.CANEMARK_METRICS_TOKEN)),
  }
}

function given(text: string | undefined): string | null {
  const trimmed = (text ?? '').trim()
  return trimmed === '' ? null : trimmed
}

function originOf(text: string | null): string | null {
  if (text === null) return null
  const url = URL.canParse(text) ? new URL(text) : null
  const isOrigin = url !== null && /^https?:$/.test(url.protocol) && `${url.origin}/` === url.href
  if (isOrigin) return url.origin
  throw new Error(
    `CANEMARK_ORIGIN: "${text}" is not the address of a server; ` +
      'write it like https://vines.example, without a path',
  )
}

function wholeNumber(name: string, text: string, min: number, max: number): number {
  if (/^\d{1,5}$/.test(text) && Number(text) >= min && Number(text) <= max) return Number(text)
  throw new Error(`${name}: "${text}" is not a whole number from ${min} to ${max}`)
}

function logLevelOf(text: string): string {
  if (logLevels.some((level) => level === text)) return text
  throw new Error(`CANEMARK_LOG: "${text}" is none of ${logLevels.join(', ')}`)
}

const metricsTokenLeast = 20

function metricsTokenOf(text: string | null): string | null {
  if (text === null || (text.length >= metricsTokenLeast && /^[!-~]+$/.test(text))) return text
  throw new Error(
    `CANEMARK_METRICS_TOKEN: give it at least ${metricsTokenLeast} characters, without spaces`,
  )
}
