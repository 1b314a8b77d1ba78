// What the environment says about serving: where to listen, what to believe, where keys lie.
import { proxyList } from './doors.ts'
import { logLevels } from './log.ts'
import { readProofSettings } from './proof-settings.ts'
import type { ProofSettings } from './proof-settings.ts'
import { given, originOf, wholeNumber } from './setting-forms.ts'

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
  proof: ProofSettings
}

/**
 * Reads HOST, PORT, CANEMARK_ORIGIN, CANEMARK_PROXIES, CANEMARK_PROCESSES, CANEMARK_LOG,
 * CANEMARK_METRICS_TOKEN and what `readProofSettings` reads. Throws an Error that names the
 * variable, what is wrong with it and how to write it.
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
    proof: readProofSettings(env),
  }
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
