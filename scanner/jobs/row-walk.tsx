/** @jsxImportSource preact */
// The frame of a job that walks a row: which row, where to begin, and taking it up again.
import { useState } from 'preact/hooks'
import type { ComponentChildren } from 'preact'
import type { Phone, PhoneRow } from '../phone.ts'
import type { JobProps } from '../screens/job.ts'
import { newestCounter, useOwnEntries } from './entries.ts'
import type { OwnEntries } from './entries.ts'
import { useRemembered } from './remember.ts'
import { RowPicker, rowOf } from './row-picker.tsx'
import { newRound, RECENT_LIMIT, RowSession } from './row-session.ts'
import { WalkStart } from './walk-start.tsx'
import type { WalkBegin } from './walk-start.tsx'

/** What a walk hands to the screen of one row. */
export interface RowWalk {
  readonly phone: Phone
  readonly row: PhoneRow
  readonly session: RowSession
  readonly keep: (session: RowSession) => Promise<void>
  readonly entries: OwnEntries
  /** Goes on from another vine, or in the other direction. */
  readonly goTo: (start: number, step: RowSession['step']) => Promise<void>
  readonly onOtherRow: () => void
  /** Back to scanning; the walk is taken up again when the job is opened. */
  readonly onLeave: () => void
  readonly onFinish: (sayDone: string) => Promise<void>
}

interface WalkJobProps extends JobProps {
  /** Under which the walk is remembered. */
  readonly sessionKey: string
  readonly children: (walk: RowWalk) => ComponentChildren
}

/** Asks for row and beginning, unless a walk was left open there. */
export function WalkJob(props: WalkJobProps) {
  const [session, keep] = useRemembered(props.sessionKey, RowSession)
  const entries = useOwnEntries(props.phone, RECENT_LIMIT)
  if (session === undefined || entries.list === null) return null
  return <Walk {...props} session={session} keep={keep} entries={entries} />
}

interface WalkProps extends WalkJobProps {
  readonly session: RowSession | null
  readonly keep: (session: RowSession | null) => Promise<void>
  readonly entries: OwnEntries
}

function Walk({ phone, found, close, children, session, keep, entries }: WalkProps) {
  const scanned = rowOf(found, phone)
  const isLeftOpen = session !== null && (scanned === null || scanned.rowId === session.rowId)
  const [row, setRow] = useState<PhoneRow | null>(() =>
    isLeftOpen ? phone.snapshot.row(session.rowId) : scanned,
  )
  const [isWalking, setWalking] = useState(isLeftOpen)
  if (row === null) {
    return <RowPicker phone={phone} onRow={setRow} onBack={() => close()} />
  }
  if (!isWalking || session === null) {
    const begin = async (walk: WalkBegin) => {
      await keep(newRound(row.rowId, walk, await newestCounter(phone)))
      setWalking(true)
    }
    return <WalkStart row={row} onBegin={begin} onBack={() => setRow(null)} />
  }
  return children({
    ...{ phone, row, session, keep, entries },
    goTo: async (start, step) => {
      await keep({ ...session, start, step, afterCounter: await newestCounter(phone) })
    },
    onLeave: () => close(),
    onOtherRow: () => {
      setRow(null)
      setWalking(false)
    },
    onFinish: async (sayDone) => {
      await keep(null)
      close(sayDone)
    },
  })
}
