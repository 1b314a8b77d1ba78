/** @jsxImportSource preact */
// Reads one tag in any of three ways: by camera, typed by hand, or by a reader that types.
import { useCallback, useEffect, useRef, useState } from 'preact/hooks'
import { parseTagInput, TAG_CODE_LENGTH } from '#trade/tag-code.ts'
import { startScanning } from '../camera/scan.ts'
import type { CameraTrouble, Scanning } from '../camera/scan.ts'
import type { PlainKey } from '../words/say.ts'
import { foundProblem } from './found-words.ts'
import { BigButton, TextField } from './parts.tsx'
import { usePhone, useSpeaker } from './speak.tsx'
import { useTypedReader } from './typed-reader.ts'

/** Most characters that the line takes: an address with a code, pasted. */
const TYPED_LIMIT = 512

interface ReaderProps {
  /** What to point the camera at. */
  readonly ask: string
  /** A text was read or typed; what it means is for the caller to find out. */
  readonly onText: (text: string) => void
  /** Several tags are in view: the caller asks which. */
  readonly onSeveral: (texts: readonly string[]) => void
  /** Counts up when a tag that is still in view shall be told again. */
  readonly turn?: number
}

/** The camera's picture with its lamp, and the line to type a code. */
export function Reader({ ask, onText, onSeveral, turn = 0 }: ReaderProps) {
  const phone = usePhone()
  const speaker = useSpeaker()
  const [typed, setTyped] = useState('')
  const [isAsked, setAsked] = useState(false)
  useTypedReader(onText)
  const found = typed.trim() === '' ? null : phone.snapshot.find(typed)
  // A code that is half typed is no slip yet; a letter that no code has is one at once.
  const isTold = isAsked || !isShort(typed)
  const slip = found?.what === 'slip' && isTold ? foundProblem(found, phone, speaker) : null
  const look = () => {
    setAsked(true)
    if (found !== null && found.what !== 'slip') onText(typed)
  }
  return (
    <div class="reader">
      <CameraView ask={ask} onText={onText} onSeveral={onSeveral} turn={turn} />
      <div class="typed">
        <TextField
          label={speaker.say('reader.typed')}
          code
          value={typed}
          error={slip === null ? undefined : `${slip.what} ${slip.todo}`}
          maxLength={TYPED_LIMIT}
          onInput={(text) => {
            setTyped(text)
            setAsked(false)
          }}
          onEnter={look}
        />
        <BigButton onPress={look}>{speaker.say('reader.find')}</BigButton>
      </div>
    </div>
  )
}

/** Is nothing wrong with it but that characters are still to come? */
function isShort(typed: string): boolean {
  const input = parseTagInput(typed)
  return !input.ok && input.problem === 'wrong_length' && input.length < TAG_CODE_LENGTH
}

type CameraViewProps = Pick<ReaderProps, 'ask' | 'onText' | 'onSeveral' | 'turn'>

/** The camera's picture, what to point it at, and its lamp where it has one. */
export function CameraView({ ask, onText, onSeveral, turn = 0 }: CameraViewProps) {
  const speaker = useSpeaker()
  const [video, camera] = useCamera(onText, onSeveral, turn)
  const trouble = camera?.trouble ?? null
  return (
    <div class={trouble === null ? 'view' : 'view dark'}>
      <video ref={video} muted playsInline aria-hidden="true" />
      {trouble === null ? (
        <p class="ask">{ask}</p>
      ) : (
        <p class="no-camera" role="status">
          {speaker.say(CAMERA_WORDS[trouble])}
        </p>
      )}
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
