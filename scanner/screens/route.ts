// Where the person is in the app, and the phone's own back button.
import { useCallback, useEffect, useRef, useState } from 'preact/hooks'
import type { ThingShape } from '#wire/basics.ts'
import type { Found } from '../phone.ts'
import type { Job } from './job.ts'

export type Route =
  | { readonly at: 'scan' }
  /** A tag was read: the text, not what it meant then, for records and entries change meanwhile. */
  | { readonly at: 'found'; readonly text: string }
  | { readonly at: 'job'; readonly job: Job; readonly found: Found | null; readonly nr?: number }
  | { readonly at: 'look'; readonly thing: ThingShape }
  | { readonly at: 'without' | 'more' | 'find' | 'unsent' | 'last' | 'person' | 'settings' }

export type Go = (route: Route) => void

/**
 * The route and how to change it. The phone's back button leads to scanning, never out of the app
 * from another screen; inside a job it does nothing, for half-typed work would be lost.
 */
export function useRoute(): readonly [Route, Go] {
  const [route, setRoute] = useState<Route>({ at: 'scan' })
  const now = useRef(route)
  const jobs = useRef(0)
  const show = useCallback((next: Route) => {
    const numbered = next.at === 'job' ? { ...next, nr: (jobs.current += 1) } : next
    now.current = numbered
    setRoute(numbered)
  }, [])
  const go = useCallback(
    (next: Route) => {
      const isDeep = now.current.at !== 'scan'
      if (!isDeep && next.at !== 'scan') history.pushState('deep', '')
      show(next)
    },
    [show],
  )
  useEffect(() => {
    const back = () => {
      if (now.current.at === 'job') history.pushState('deep', '')
      else show({ at: 'scan' })
    }
    addEventListener('popstate', back)
    return () => removeEventListener('popstate', back)
  }, [show])
  return [route, go]
}
