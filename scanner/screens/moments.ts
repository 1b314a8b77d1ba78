// Lets a screen be drawn again as time passes, for verdicts and ages depend on it.
import { useEffect, useState } from 'preact/hooks'
import type { Phone } from '../phone.ts'

/** How often what depends on time is worked out again, in milliseconds. */
const DEFAULT_EVERY_MS = 15_000

/** The phone's clock in epoch milliseconds; the screen is drawn again every `everyMs`. */
export function useNow(phone: Phone, everyMs = DEFAULT_EVERY_MS): number {
  const [, setTurn] = useState(0)
  useEffect(() => {
    const timer = setInterval(() => setTurn((turn) => turn + 1), everyMs)
    return () => clearInterval(timer)
  }, [everyMs])
  return phone.now().getTime()
}
