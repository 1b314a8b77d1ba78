// Keeps what a job needs to go on after the tab was killed: small records, in a store of its own.
import { openDB } from 'idb'
import type { IDBPDatabase } from 'idb'
import { useEffect, useState } from 'preact/hooks'
import { z } from 'zod'

const DATABASE = 'canemark-jobs'
const STORE = 'record'

let opened: Promise<IDBPDatabase> | null = null

function database(): Promise<IDBPDatabase> {
  opened ??= openDB(DATABASE, 1, {
    upgrade: (db) => void db.createObjectStore(STORE),
    terminated: () => {
      opened = null
    },
  })
  return opened
}

const Kept = z.strictObject({ keptAtMs: z.number(), value: z.unknown() })

/** Work left open longer ago than a working day is not taken up by itself. */
export const WORKING_DAY_MS = 14 * 3_600_000

/**
 * What was kept under a key; null when nothing was, when it no longer reads, or when it was kept
 * more than `maxAgeMs` ago.
 */
export async function recall<T>(
  key: string,
  schema: z.ZodType<T>,
  maxAgeMs = Number.POSITIVE_INFINITY,
): Promise<T | null> {
  try {
    const kept: unknown = await (await database()).get(STORE, key)
    const read = Kept.safeParse(kept)
    if (!read.success || Date.now() - read.data.keptAtMs > maxAgeMs) return null
    const value = schema.safeParse(read.data.value)
    return value.success ? value.data : null
  } catch (error) {
    // A store that does not open costs the person a choice, never an entry.
    console.error('what a job kept could not be read', error)
    return null
  }
}

/** Keeps a value, or forgets it with null; resolves when it is on disk, or could not be kept. */
export async function remember(key: string, value: unknown): Promise<void> {
  try {
    const transaction = (await database()).transaction(STORE, 'readwrite', { durability: 'strict' })
    const asked =
      value === null
        ? transaction.store.delete(key)
        : transaction.store.put({ keptAtMs: Date.now(), value }, key)
    await Promise.all([asked, transaction.done])
  } catch (error) {
    console.error('what a job wants to keep could not be kept', error)
  }
}

/** A remembered value in a screen; `undefined` until it has been read. */
export function useRemembered<T>(
  key: string,
  schema: z.ZodType<T>,
): [value: T | null | undefined, keep: (value: T | null) => Promise<void>] {
  const [value, setValue] = useState<T | null | undefined>(undefined)
  useEffect(() => {
    let stale = false
    void recall(key, schema).then((read) => {
      if (!stale) setValue(read)
    })
    return () => {
      stale = true
    }
    // The schema of a key never changes while the app runs.
  }, [key])
  const keep = async (next: T | null) => {
    setValue(next)
    await remember(key, next)
  }
  return [value, keep]
}
