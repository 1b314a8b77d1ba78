/** @jsxImportSource preact */
// The job of grafting a row: wood, row, end to begin at, then vine by vine; goes on where it was.
import { useState } from 'preact/hooks'
import type { Phone, PhoneRow } from '../../phone.ts'
import type { Job, JobProps } from '../../screens/job.ts'
import { useSpeaker } from '../../screens/speak.tsx'
import { newestCounter, useOwnEntries } from '../entries.ts'
import type { OwnEntries } from '../entries.ts'
import { recall, useRemembered, WORKING_DAY_MS } from '../remember.ts'
import { RowPicker, rowName, rowOf } from '../row-picker.tsx'
import { isWoodTag, scannedWood } from '../scanned-wood.ts'
import { WalkStart } from '../walk-start.tsx'
import type { WalkBegin } from '../walk-start.tsx'
import { handOf, TAKEN_KEY, TakenOver } from '../wood/taken-over.ts'
import { ChooseManner } from './choose-manner.tsx'
import { GraftRow } from './graft-row.tsx'
import { GraftWood } from './graft-wood.tsx'
import { Manner, MANNER_KEY, noManner, SESSION_KEY } from './manner.ts'
import { RECENT_LIMIT } from '../row-session.ts'
import { anotherRow, GraftSession } from './session.ts'
import type { WoodInHand } from './which-wood.tsx'

function GraftScreen({ phone, found, close }: JobProps) {
  const [session, keepSession] = useRemembered(SESSION_KEY, GraftSession)
  const [manner, keepManner] = useRemembered(MANNER_KEY, Manner)
  const entries = useOwnEntries(phone, RECENT_LIMIT)
  const [taken] = useRemembered(TAKEN_KEY, TakenOver)
  if (session === undefined || manner === undefined || entries.list === null) return null
  if (taken === undefined) return null
  return (
    <GraftFlow
      {...{ phone, found, close, session, keepSession, entries, keepManner }}
      taken={taken ?? []}
      manner={manner ?? noManner}
    />
  )
}

interface FlowProps extends JobProps {
  readonly session: GraftSession | null
  readonly keepSession: (session: GraftSession | null) => Promise<void>
  readonly entries: OwnEntries
  readonly manner: Manner
  readonly keepManner: (manner: Manner) => Promise<void>
  readonly taken: TakenOver
}

type Step = 'wood' | 'row' | 'begin' | 'how' | 'work'

/** What is settled so far, before the first vine. */
interface Settled {
  readonly step: Step
  readonly wood: WoodInHand | null
  readonly row: PhoneRow | null
}

function GraftFlow(props: FlowProps) {
  const { phone, found, close, session, keepSession, manner, keepManner } = props
  const t = useSpeaker()
  const [settled, setSettled] = useState<Settled>(() => firstStep(props))
  const { step, wood, row } = settled
  const next = (change: Partial<Settled>) => setSettled({ ...settled, ...change })
  const leave = () => (session === null ? close() : next({ step: 'work' }))
  switch (step) {
    case 'wood': {
      const chosen = async (told: WoodInHand) => {
        const held = { ...told, from: handOf(props.taken, told) }
        if (session === null) return next({ step: row === null ? 'row' : 'begin', wood: held })
        const sameLot = held.lotId === session.lotId
        await keepSession({ ...session, ...held, accepted: sameLot ? session.accepted : [] })
        return next({ step: 'work', wood: held })
      }
      const scanned = wood === null ? scannedWood(found, phone) : null
      return <GraftWood {...{ phone, scanned }} soFar={session} onWood={chosen} onBack={leave} />
    }
    case 'row':
      return (
        <RowPicker
          phone={phone}
          onRow={(chosen) => next({ step: 'begin', row: chosen })}
          onBack={leave}
        />
      )
    case 'begin': {
      if (row === null || wood === null) return null
      const begin = async (walk: WalkBegin) => {
        await keepSession(await sessionOf(props, wood, row, walk))
        const plan = phone.snapshot.plans(row.rowId)[0]
        const method = manner.method ?? plan?.method ?? null
        next({ step: method === null || manner.tie === null ? 'how' : 'work' })
      }
      return (
        <WalkStart
          row={row}
          about={rowName(row, t)}
          onBegin={begin}
          onBack={() => next({ step: 'row' })}
        />
      )
    }
    case 'how': {
      const chosen = async (method: string, tie: string) => {
        await keepManner({ ...manner, method, tie })
        if (session !== null) await keepSession({ ...session, method, tie })
        next({ step: 'work' })
      }
      const { methods } = phone.snapshot
      return <ChooseManner {...{ methods }} onChosen={chosen} onBack={leave} />
    }
    case 'work':
      return <Working {...props} next={next} />
  }
}

interface WorkingProps extends FlowProps {
  readonly next: (change: Partial<Settled>) => void
}

/** The row itself; a row that the phone no longer knows must be chosen again. */
function Working(props: WorkingProps) {
  const { phone, close, session, keepSession, entries, manner, keepManner, next } = props
  const row = session === null ? null : phone.snapshot.row(session.rowId)
  if (session === null) return null
  const { lotId, bundleId, from } = session
  const wood = { lotId, bundleId, from }
  if (row === null) {
    return (
      <RowPicker
        phone={phone}
        onRow={(chosen) => next({ step: 'begin', row: chosen, wood })}
        onBack={close}
      />
    )
  }
  const finish = async (sayDone: string) => {
    await keepSession(null)
    close(sayDone)
  }
  return (
    <GraftRow
      {...{ phone, row, session, entries, manner, keepManner }}
      keep={keepSession}
      onChangeBundle={() => next({ step: 'wood', wood })}
      onChangeMethod={() => next({ step: 'how', wood })}
      onOtherRow={() => next({ step: 'row', wood, row: null })}
      onLeave={() => close()}
      onFinish={finish}
    />
  )
}

function firstStep({ phone, found, session }: FlowProps): Settled {
  const row = rowOf(found, phone)
  const scanned = scannedWood(found, phone)
  if (session === null) return { step: 'wood', wood: null, row }
  const { lotId, bundleId, from } = session
  const wood = { lotId, bundleId, from }
  if (row !== null && row.rowId !== session.rowId) return { step: 'begin', wood, row }
  const same = scanned?.lotId === lotId && [null, bundleId].includes(scanned.bundleId)
  if (scanned !== null && !same) return { step: 'wood', wood: null, row: null }
  return { step: 'work', wood, row }
}

async function sessionOf(
  { phone, session, manner }: FlowProps,
  wood: WoodInHand,
  row: PhoneRow,
  walk: WalkBegin,
): Promise<GraftSession> {
  const counter = await newestCounter(phone)
  const { rowId } = row
  if (session !== null) return anotherRow({ ...session, ...wood }, rowId, walk, counter)
  const plan = phone.snapshot.plans(rowId)[0]
  return {
    ...wood,
    method: manner.method ?? plan?.method ?? 'chip bud',
    tie: manner.tie,
    rowId,
    ...walk,
    afterCounter: counter,
    beganCounter: counter,
    accepted: [],
    undone: [],
  }
}

export const graftJob: Job = {
  id: 'graft',
  title: 'graft.title',
  order: 10,
  withoutScan: true,
  offeredFor: (found: Parameters<Job['offeredFor']>[0], phone: Phone) =>
    (isWoodTag(found) && scannedWood(found, phone) !== null) || rowOf(found, phone) !== null,
  leftOpen: async () => (await recall(SESSION_KEY, GraftSession, WORKING_DAY_MS)) !== null,
  Screen: GraftScreen,
}
