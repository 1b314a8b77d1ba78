// Lets a screen hear a Bluetooth or USB reader that types.
import { useEffect, useRef } from 'preact/hooks'
import { listenForReader } from '../camera/typed-reader.ts'

/** Calls back with what a typing reader sent, wherever the focus is but in a field. */
export function useTypedReader(onText: (text: string) => void): void {
  const heard = useRef(onText)
  heard.current = onText
  useEffect(() => listenForReader(document, (text) => heard.current(text)), [])
}
