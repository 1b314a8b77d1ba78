// Opens the rear camera, says why it cannot, and works its torch.

/** Why there is no picture; the screen says it in words and offers typing the code. */
export type CameraTrouble =
  /** The person or the phone's settings said no. */
  | 'denied'
  /** There is no camera. */
  | 'absent'
  /** Another app holds the camera, or it failed. */
  | 'in use'
  /** Pages without https may not use the camera. */
  | 'not secure'
  /** The decoder did not start, so a picture would be of no use. */
  | 'no decoder'

/** The lamp beside the camera. */
export interface Torch {
  readonly available: boolean
  readonly on: boolean
  /** Resolves to whether it is on afterwards: a lamp may be refused, as when too warm. */
  set(on: boolean): Promise<boolean>
}

/** Thrown by {@link openCamera}. */
export class CameraError extends Error {
  readonly trouble: CameraTrouble
  constructor(trouble: CameraTrouble, cause?: unknown) {
    super(trouble, { cause })
    this.name = 'CameraError'
    this.trouble = trouble
  }
}

/** Enough pixels for a tag at arm's length, few enough to decode in a frame's time. */
const WIDTH_IDEAL = 1280
const HEIGHT_IDEAL = 720
/** Frames a second that are asked for: each frame that moved is a new chance. */
const FRAME_RATE_IDEAL = 30

/** What browsers know of a lamp and of focus, which the standard types leave out. */
interface LampCapabilities {
  torch?: boolean
  focusMode?: string[]
}
type LampConstraints = MediaTrackConstraintSet & { torch?: boolean; focusMode?: string }

/**
 * Opens the rear camera, or whichever there is, and shows it in `video`.
 * @throws CameraError
 */
export async function openCamera(video: HTMLVideoElement): Promise<MediaStream> {
  if (!('mediaDevices' in navigator)) throw new CameraError('not secure')
  let stream: MediaStream
  try {
    stream = await navigator.mediaDevices.getUserMedia({
      audio: false,
      video: {
        facingMode: { ideal: 'environment' },
        width: { ideal: WIDTH_IDEAL },
        height: { ideal: HEIGHT_IDEAL },
        frameRate: { ideal: FRAME_RATE_IDEAL },
      },
    })
  } catch (error) {
    throw new CameraError(troubleOf(error), error)
  }
  video.muted = true
  video.playsInline = true
  video.srcObject = stream
  try {
    await Promise.all([focusAlways(stream), playing(video)])
  } catch (error) {
    closeCamera(video, stream)
    throw new CameraError('in use', error)
  }
  return stream
}

/** Lets the camera go, so that its light goes out and other apps may have it. */
export function closeCamera(video: HTMLVideoElement, stream: MediaStream): void {
  for (const track of stream.getTracks()) track.stop()
  if (video.srcObject === stream) video.srcObject = null
}

export function hasTorch(stream: MediaStream): boolean {
  const track = stream.getVideoTracks()[0]
  // Older browsers lack getCapabilities, whatever the types say.
  if (track === undefined || !('getCapabilities' in track)) return false
  return (track.getCapabilities() as LampCapabilities).torch === true
}

/** Resolves to whether the lamp is on afterwards. */
export async function setTorch(stream: MediaStream, on: boolean): Promise<boolean> {
  const track = stream.getVideoTracks()[0]
  if (track === undefined || !hasTorch(stream)) return false
  try {
    await track.applyConstraints({ advanced: [{ torch: on } as LampConstraints] })
    return on
  } catch {
    return !on
  }
}

function troubleOf(error: unknown): CameraTrouble {
  const name = error instanceof Error ? error.name : ''
  if (name === 'NotAllowedError' || name === 'SecurityError') return 'denied'
  if (name === 'NotFoundError' || name === 'OverconstrainedError') return 'absent'
  return 'in use'
}

/** Asks for continuous focus where the camera knows it; without, pictures still come. */
async function focusAlways(stream: MediaStream): Promise<void> {
  const track = stream.getVideoTracks()[0]
  if (track === undefined || !('getCapabilities' in track)) return
  const { focusMode } = track.getCapabilities() as LampCapabilities
  if (focusMode?.includes('continuous') !== true) return
  try {
    await track.applyConstraints({ advanced: [{ focusMode: 'continuous' } as LampConstraints] })
  } catch {
    // The camera keeps the focus mode that it had.
  }
}

async function playing(video: HTMLVideoElement): Promise<void> {
  try {
    await video.play()
  } catch (error) {
    // Leaving the screen while the camera opens interrupts the play: no trouble to tell of.
    if (!(error instanceof DOMException && error.name === 'AbortError')) throw error
  }
}
