/** @jsxImportSource preact */
// The whole app: decides which screen is shown, from who this phone is and where the person went.
import { useCallback, useEffect, useState } from 'preact/hooks'
import { JOBS } from '../jobs/jobs.ts'
import type { Found, Phone } from '../phone.ts'
import type { Updates } from '../worker/updates.ts'
import { EnrolScreen } from './enrol.tsx'
import { FindScreen } from './look/find.tsx'
import { LookScreen } from './look/look.tsx'
import { ScreenFrame } from './frame.tsx'
import { FoundScreen } from './found.tsx'
import type { Job } from './job.ts'
import { LastEntriesScreen } from './last-entries.tsx'
import { MoreScreen, WithoutTagScreen } from './more.tsx'
import { PersonScreen } from './person.tsx'
import type { Go, Route } from './route.ts'
import { useRoute } from './route.ts'
import { ScanScreen } from './scan.tsx'
import { SettingsScreen } from './settings.tsx'
import { Speaking } from './speak.tsx'
import { FirstStart } from './start.tsx'
import { RevokedScreen } from './revoked.tsx'
import { Strip } from './strip.tsx'
import { UnsentScreen } from './unsent.tsx'
import { UpdateNotice } from './update-notice.tsx'
import { WaitingScreen } from './waiting.tsx'

interface AppProps {
  readonly phone: Phone
  /** The code that the office's symbol put into the address; null when the app was just opened. */
  readonly enrolCode: string | null
  readonly updates: Updates
}

/** Everything that the person sees. */
export function App({ phone, enrolCode, updates }: AppProps) {
  const [, draw] = useState(0)
  useEffect(() => phone.onChange(() => draw((count) => count + 1)), [phone])
  const { language, hand } = phone.settings
  useEffect(() => {
    document.documentElement.lang = language
    document.documentElement.dataset.hand = hand
  }, [language, hand])
  return (
    <Speaking phone={phone}>
      <Gate phone={phone} enrolCode={enrolCode} updates={updates} />
    </Speaking>
  )
}

/** Work begins once the phone is enrolled, let in, and somebody is chosen. */
function Gate({ phone, enrolCode, updates }: AppProps) {
  const [isStarted, setStarted] = useState(false)
  const [enrolsAgain, setEnrolsAgain] = useState(false)
  const state = phone.identity?.state ?? null
  useEffect(() => setEnrolsAgain(false), [state])
  if (state === null && !isStarted) {
    return <FirstStart phone={phone} onDone={() => setStarted(true)} />
  }
  if (state === null || enrolsAgain) return <EnrolScreen phone={phone} firstCode={enrolCode} />
  if (state === 'waiting') return <WaitingScreen phone={phone} />
  if (state === 'revoked') {
    return <RevokedScreen phone={phone} onEnrol={() => setEnrolsAgain(true)} />
  }
  return <Work phone={phone} updates={updates} />
}

function Work({ phone, updates }: Pick<AppProps, 'phone' | 'updates'>) {
  const [route, go] = useRoute()
  const [done, setDone] = useState<string | null>(null)
  const read = useCallback(
    (text: string) => {
      setDone(null)
      go({ at: 'found', text })
    },
    [go],
  )
  const begin = (job: Job, found: Found | null) => {
    setDone(null)
    go({ at: 'job', job, found })
  }
  useLeftOpen((job) => begin(job, null))
  const close = (sayDone?: string) => {
    setDone(sayDone ?? null)
    go({ at: 'scan' })
  }
  if (phone.settings.personId === null) {
    return <PersonScreen phone={phone} onChosen={() => go({ at: 'scan' })} />
  }
  return (
    <>
      <Strip phone={phone} go={go} busy={route.at === 'job'} />
      {route.at === 'scan' ? <UpdateNotice updates={updates} /> : null}
      <ScreenFrame key={keyOf(route)}>
        <Screen {...{ phone, route, go, read, begin, close, done }} />
      </ScreenFrame>
    </>
  )
}

/** Goes on with the job that a killed tab left open, once, when the app starts. */
function useLeftOpen(resume: (job: Job) => void): void {
  useEffect(() => {
    const look = async () => {
      for (const job of JOBS) {
        if ((await job.leftOpen?.()) === true) return resume(job)
      }
    }
    void look()
    // Only at the start: a job that is left on purpose stays left.
  }, [])
}

interface ScreenProps {
  readonly phone: Phone
  readonly route: Route
  readonly go: Go
  readonly read: (text: string) => void
  readonly begin: (job: Job, found: Found | null) => void
  readonly close: (sayDone?: string) => void
  readonly done: string | null
}

function Screen({ phone, route, go, read, begin, close, done }: ScreenProps) {
  const toScan = () => go({ at: 'scan' })
  switch (route.at) {
    case 'scan':
      return <ScanScreen phone={phone} onText={read} go={go} done={done} />
    case 'found':
      return <FoundScreen {...{ phone, jobs: JOBS, text: route.text, begin, go, onText: read }} />
    case 'job':
      return <route.job.Screen phone={phone} found={route.found} close={close} />
    case 'without':
      return <WithoutTagScreen jobs={JOBS} begin={(job) => begin(job, null)} onBack={toScan} />
    case 'more':
      return <MoreScreen go={go} />
    case 'find':
      return <FindScreen phone={phone} go={go} />
    case 'look':
      return <LookScreen phone={phone} thing={route.thing} go={go} />
    case 'unsent':
      return <UnsentScreen phone={phone} onBack={toScan} />
    case 'last':
      return <LastEntriesScreen phone={phone} onBack={toScan} />
    case 'person':
      return <PersonScreen phone={phone} onChosen={toScan} inside />
    case 'settings':
      return <SettingsScreen phone={phone} onBack={toScan} />
  }
}

/** A screen is begun anew when this changes: nothing typed for one tag stays for another. */
function keyOf(route: Route): string {
  if (route.at === 'found') return `found ${route.text}`
  if (route.at === 'job') return `job ${route.job.id} ${route.nr ?? 0}`
  return route.at === 'look' ? `look ${route.thing.id}` : route.at
}
