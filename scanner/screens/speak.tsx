/** @jsxImportSource preact */
// Brings the person's language and the phone to every part of a screen.
import { createContext } from 'preact'
import type { ComponentChildren } from 'preact'
import { useContext } from 'preact/hooks'
import type { Phone } from '../phone.ts'
import { speakerOf } from '../words/speaker.ts'
import type { Speaker } from '../words/speaker.ts'

const PhoneContext = createContext<Phone | null>(null)

/** Everything inside may ask for the phone and its words. */
export function Speaking({ phone, children }: { phone: Phone; children: ComponentChildren }) {
  return <PhoneContext.Provider value={phone}>{children}</PhoneContext.Provider>
}

/** The phone that the app was opened with. */
export function usePhone(): Phone {
  const phone = useContext(PhoneContext)
  if (phone === null) throw new Error('usePhone is called outside of Speaking')
  return phone
}

/** Speaks in the person's language and units. */
export function useSpeaker(): Speaker {
  return speakerOf(usePhone().settings)
}
