// What the environment says about serving: where to listen, what to believe, where keys lie.
import path from 'node:path'
import { defaultDataFolder } from '../../db/embedded/folder.ts'
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
  proof: ProofSettings
}

/** How the journal is made tamper-evident: the keys that sign it, and where checkpoints go. */
export type ProofSettings = {
  /** The folder of the private keys. */
  keyFolder: string
  /** The name that the first key gets; null lets one be made up. */
  keyName: string | null
  /** Checkpoints are written to this folder, and posted to this address; null: nowhere. */
  sendToFolder: string | null
  sendToUrl: string | null
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

/** Reads CANEMARK_KEYS, CANEMARK_CHECKPOINT_NAME, CANEMARK_CHECKPOINT_FOLDER and …_URL. */
export function readProofSettings(env: Record<string, string | undefined>): ProofSettings {
  const dataFolder = defaultDataFolder(process.platform, env, process.getuid?.() === 0)
  const origin = originOf(given(env.CANEMARK_ORIGIN))
  return {
    keyFolder: given(env.CANEMARK_KEYS) ?? path.join(dataFolder, 'keys'),
    keyName:
      keyNameOf(given(env.CANEMARK_CHECKPOINT_NAME)) ??
      (origin === null ? null : new URL(origin).host),
    sendToFolder: given(env.CANEMARK_CHECKPOINT_FOLDER),
    sendToUrl: urlOf(given(env.CANEMARK_CHECKPOINT_URL)),
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

function keyNameOf(text: string | null): string | null {
  if (text === null || /^[^\s+\p{C}]{1,200}$/u.test(text)) return text
  throw new Error(
    `CANEMARK_CHECKPOINT_NAME: "${text}" cannot be the name of a key; ` +
      'write it like vines.example/journal, without spaces and plus signs',
  )
}

function urlOf(text: string | null): string | null {
  if (text === null) return null
  if (URL.canParse(text) && /^https?:$/.test(new URL(text).protocol)) return text
  // The address may hold a password, so it is not repeated.
  throw new Error(
    'CANEMARK_CHECKPOINT_URL is not the address of a server; ' +
      'write it like https://keeper.example/checkpoints',
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
