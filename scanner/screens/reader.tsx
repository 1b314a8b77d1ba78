/** @jsxImportSource preact */
// Reads one tag in any of three ways: by camera, typed by hand, or by a reader that types.
import { useCallback, useEffect, useRef, useState } from 'preact/hooks'
import { startScanning } from '../camera/scan.ts'
import type { CameraTrouble, Scanning } from '../camera/scan.ts'
import type { PlainKey } from '../words/say.ts'
import { BigButton, TextField } from './parts.tsx'
import { useSpeaker } from './speak.tsx'
import { useTypingReader } from './typing-reader.ts'

interface ReaderProps {
  /** What to point the camera at. */
  readonly ask: string
  /** A text was read or typed; what it means is for the caller to find out. */
  readonly onText: (text: string) => void
  /** Several tags are in view: the caller asks which. */
  readonly onSeveral: (texts: readonly string[]) => void
  /** A problem with the typed code, shown at the field. */
  readonly slip?: string | undefined
  /** Counts up when a tag that is still in view shall be told again. */
  readonly turn?: number
}

/** The camera's picture with its lamp, and the line to type a code. */
export function Reader({ ask, onText, onSeveral, slip, turn = 0 }: ReaderProps) {
  const speaker = useSpeaker()
  const [typed, setTyped] = useState('')
  const [video, camera] = useCamera(onText, onSeveral, turn)
  useTypingReader(onText)
  const look = () => {
    if (typed.trim() !== '') onText(typed)
  }
  const trouble = camera?.trouble ?? null
  return (
    <div class="reader">
      <div class={trouble === null ? 'view' : 'view dark'}>
        <video ref={video} muted playsInline aria-hidden="true" />
        <p class="ask">{ask}</p>
        {trouble === null ? null : <p class="no-camera">{speaker.say(CAMERA_WORDS[trouble])}</p>}
        {camera?.torch.available === true ? (
          <BigButton
            look="quiet"
            pressed={camera.torch.on}
            onPress={() => camera.torch.set(!camera.torch.on)}
          >
            {speaker.say('reader.lamp')}
          </BigButton>
        ) : null}
      </div>
      <div class="typed">
        <TextField
          label={speaker.say('reader.typed')}
          code
          value={typed}
          error={slip}
          maxLength={60}
          onInput={setTyped}
          onEnter={look}
        />
        <BigButton onPress={look}>{speaker.say('reader.find')}</BigButton>
      </div>
    </div>
  )
}

const CAMERA_WORDS: Readonly<Record<CameraTrouble, PlainKey>> = {
  denied: 'camera.denied',
  absent: 'camera.absent',
  'in use': 'camera.inUse',
  'not secure': 'camera.notSecure',
  'no decoder': 'camera.noDecoder',
}

function useCamera(
  onText: (text: string) => void,
  onSeveral: (texts: readonly string[]) => void,
  turn: number,
) {
  const video = useRef<HTMLVideoElement>(null)
  const scanning = useRef<Scanning | null>(null)
  const [, draw] = useState(0)
  const heard = useRef({ onText, onSeveral })
  heard.current = { onText, onSeveral }
  const redraw = useCallback(() => draw((count) => count + 1), [])
  useEffect(() => {
    if (video.current === null) return
    const begun = startScanning(
      video.current,
      (read) => {
        if (read.kind === 'one') heard.current.onText(read.text)
        else heard.current.onSeveral(read.texts)
      },
      { onChange: redraw },
    )
    scanning.current = begun
    redraw()
    return () => {
      scanning.current = null
      begun.stop()
    }
  }, [redraw])
  useEffect(() => {
    if (turn > 0) scanning.current?.again()
  }, [turn])
  return [video, scanning.current] as const
}
