// Counts tries at each door, so that nobody can guess or flood; in memory or for all processes.
import { createHash } from 'node:crypto'
import { isIPv6 } from 'node:net'
import type pg from 'pg'
import { RateLimiterMemory, RateLimiterPostgres, RateLimiterRes } from 'rate-limiter-flexible'
import type { RateLimiterAbstract } from 'rate-limiter-flexible'
import { refuse } from './errors.ts'

/** What is counted: how many tries, in how many seconds. */
const limits = {
  /** Signing in, from one address. */
  'sign-in address': { points: 60, seconds: 900 },
  /** Signing in under one name from one address. */
  'sign-in name and address': { points: 10, seconds: 900 },
  /** Signing in under one name from anywhere. */
  'sign-in name': { points: 50, seconds: 900 },
  /** Giving one's password once more. */
  proof: { points: 10, seconds: 900 },
  /** Codes for enrolment tried from one address. */
  'enrol address': { points: 10, seconds: 600 },
  /** Secret links (first administrator, password, auditor) opened from one address. */
  'link address': { points: 30, seconds: 900 },
  /** Tags looked up without a sign-in, from one address. */
  'lookup address': { points: 120, seconds: 60 },
  /** Dossiers made by one person, or through one auditor's link. */
  dossier: { points: 60, seconds: 3600 },
  /** Requests from one device. */
  device: { points: 1200, seconds: 60 },
  /** Requests with a wrong token or signature, from one address. */
  'stranger address': { points: 120, seconds: 60 },
} as const

export type LimitName = keyof typeof limits

export type Limits = {
  /**
   * Counts one try. Refuses with `too_many_tries`, status 429, when there were too many; the
   * refusal says how many seconds to wait.
   */
  count: (name: LimitName, key: string) => Promise<void>
  /** Forgets the tries under this key, after one that was right. */
  forget: (name: LimitName, key: string) => Promise<void>
}

/** Counts in `pool`, when several processes serve one database; else in this process's memory. */
export function newLimits(pool: pg.Pool | null): Limits {
  const limiters = new Map<string, RateLimiterAbstract>()
  for (const [name, { points, seconds }] of Object.entries(limits)) {
    const options = { keyPrefix: name, points, duration: seconds }
    const memory = new RateLimiterMemory(options)
    limiters.set(name, pool === null ? memory : inPostgres(pool, options, memory))
  }
  return {
    count: async (name, key) => {
      try {
        await limiters.get(name)?.consume(digest(key))
      } catch (error) {
        if (!(error instanceof RateLimiterRes)) throw error
        tooMany(Math.max(1, Math.ceil(error.msBeforeNext / 1000)))
      }
    },
    forget: async (name, key) => void (await limiters.get(name)?.delete(digest(key))),
  }
}

type Counted = { keyPrefix: string; points: number; duration: number }

/** Counts in the table `rate_limit`; in `memory` while the database does not answer. */
function inPostgres(pool: pg.Pool, options: Counted, memory: RateLimiterMemory) {
  return new RateLimiterPostgres({
    ...options,
    storeClient: pool,
    storeType: 'pool',
    tableName: 'rate_limit',
    tableCreated: true,
    insuranceLimiter: memory,
  })
}

/** One household or one firm: an IPv4 address, or the first 64 bits of an IPv6 address. */
export function addressKey(address: string): string {
  if (!isIPv6(address)) return address
  const [head = '', tail] = address.split('::')
  const first = head === '' ? [] : head.split(':')
  const last = tail === undefined || tail === '' ? [] : tail.split(':')
  const gap = tail === undefined ? [] : Array<string>(8 - first.length - last.length).fill('0')
  return [...first, ...gap, ...last].slice(0, 4).join(':')
}

function tooMany(seconds: number): never {
  const wait = seconds > 90 ? `${Math.ceil(seconds / 60)} minutes` : `${seconds} seconds`
  return refuse('too_many_tries', `too many tries; wait ${wait} and try again`, {
    status: 429,
    retryAfterSeconds: seconds,
  })
}

/** Keys hold names and addresses, which are nobody's business in a table. */
const digest = (key: string) => createHash('sha256').update(key, 'utf8').digest('hex')
