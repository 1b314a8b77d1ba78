// This phone's own entries in a screen: read once, then kept up with what the screen writes.
import { useEffect, useState } from 'preact/hooks'
import type { Draft, Phone, RecentEntry, Written } from '../phone.ts'

export interface OwnEntries {
  /** Newest first; null until they have been read. */
  readonly list: readonly RecentEntry[] | null
  /** Adds what was just written. */
  readonly add: (written: readonly Written[], drafts: readonly Draft[]) => void
  /** Leaves out what was just withdrawn. */
  readonly drop: (entryId: string) => void
}

/** The last `limit` entries, withdrawn ones left out. */
export function useOwnEntries(phone: Phone, limit: number): OwnEntries {
  const [list, setList] = useState<readonly RecentEntry[] | null>(null)
  useEffect(() => {
    let stale = false
    void phone.recent(limit).then((recent) => {
      if (!stale) setList(recent)
    })
    return () => {
      stale = true
    }
  }, [phone, limit])
  const add = (written: readonly Written[], drafts: readonly Draft[]) => {
    const fresh = written.flatMap((one, nr): RecentEntry[] => {
      const draft = drafts[nr]
      return draft === undefined ? [] : [{ written: one, body: draft.body, sent: false }]
    })
    setList((before) => [...fresh.reverse(), ...(before ?? [])])
  }
  const drop = (entryId: string) => {
    setList((before) => before?.filter(({ written }) => written.id !== entryId) ?? null)
  }
  return { list, add, drop }
}

/** The counter of the phone's newest entry; 0 before the first. */
export async function newestCounter(phone: Phone): Promise<number> {
  const [newest] = await phone.recent(1)
  return newest?.written.deviceCounter ?? 0
}
