// Takes frames from a playing video: waits for a new one, and packs it for the worker.
import type { FrameShape } from './messages.ts'

/** Longest wait for a video's next frame, in ms: a stalled camera must not stop the loop. */
const FRAME_WAIT_LIMIT_MS = 250
/** Longest side of a frame that is decoded, in pixels; larger frames are drawn smaller. */
const SIDE_LIMIT = 1920

let canvas: HTMLCanvasElement | null = null

/** Resolves when the video shows its next frame, or after FRAME_WAIT_LIMIT_MS. */
export function nextFrame(video: HTMLVideoElement): Promise<void> {
  return new Promise((resolve) => {
    const timer = setTimeout(resolve, FRAME_WAIT_LIMIT_MS)
    const shown = () => {
      clearTimeout(timer)
      resolve()
    }
    // Older browsers lack the callback, whatever the types say.
    if ('requestVideoFrameCallback' in video) video.requestVideoFrameCallback(shown)
    else requestAnimationFrame(shown)
  })
}

/**
 * The frame that the video shows now, or null while it shows none.
 * @param canDraw whether the worker can read pixels out of a bitmap
 */
export async function takeFrame(
  video: HTMLVideoElement,
  canDraw: boolean,
): Promise<{ frame: FrameShape; transfer: Transferable[] } | null> {
  const { videoWidth, videoHeight } = video
  if (videoWidth === 0 || videoHeight === 0) return null
  if (video.readyState < HTMLMediaElement.HAVE_CURRENT_DATA) return null
  const scale = Math.min(1, SIDE_LIMIT / Math.max(videoWidth, videoHeight))
  const width = Math.round(videoWidth * scale)
  const height = Math.round(videoHeight * scale)
  const bitmap = canDraw ? await bitmapOf(video, scale < 1 ? { width, height } : null) : null
  if (bitmap !== null) return { frame: { kind: 'bitmap', bitmap }, transfer: [bitmap] }
  canvas ??= document.createElement('canvas')
  canvas.width = width
  canvas.height = height
  const context = canvas.getContext('2d', { willReadFrequently: true })
  if (context === null) return null
  context.drawImage(video, 0, 0, width, height)
  const { buffer } = context.getImageData(0, 0, width, height).data
  return { frame: { kind: 'pixels', rgba: buffer, width, height }, transfer: [buffer] }
}

/** Null where this browser makes no bitmap of a video, or none of another size. */
async function bitmapOf(
  video: HTMLVideoElement,
  smaller: { width: number; height: number } | null,
): Promise<ImageBitmap | null> {
  try {
    if (smaller === null) return await createImageBitmap(video)
    const { width, height } = smaller
    return await createImageBitmap(video, { resizeWidth: width, resizeHeight: height })
  } catch {
    return null
  }
}
