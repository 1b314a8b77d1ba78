// The decoding worker: takes frames, runs the schedule, answers what may be told of each.
import { prepareZXingModule } from 'zxing-wasm/reader'
import { Agreement } from './agreement.ts'
import { browserDetector } from './browser-detector.ts'
import { readWithLibrary, readWithWasm } from './decoders.ts'
import type { FrameShape, FromWorker, ToWorker } from './messages.ts'
import { greyOfRgba } from './picture.ts'
import type { Picture } from './picture.ts'
import { Schedule } from './schedule.ts'

/** What of the worker's global scope is used; the page's types stand in the library. */
interface WorkerScope {
  onmessage: ((event: MessageEvent<ToWorker>) => void) | null
  postMessage(message: FromWorker): void
}

const scope = globalThis as unknown as WorkerScope
const agreement = new Agreement()
let schedule: Schedule | null = null
let canvas: OffscreenCanvas | null = null

scope.onmessage = ({ data }) => {
  if (data.kind === 'begin') void begin(data.wasmAddress)
  else if (data.kind === 'again') agreement.again()
  else void take(data.frame, data.atMs)
}

/**
 * Fetches the decoder's program from our own server; the package would ask a public one. Where it
 * does not start, as without WebAssembly, @zxing/library and the browser's detector go on alone.
 */
async function begin(wasmAddress: string): Promise<void> {
  let wasmWorks = true
  try {
    await prepareZXingModule({
      overrides: { locateFile: () => wasmAddress },
      fireImmediately: true,
    })
  } catch {
    wasmWorks = false
  }
  schedule = new Schedule(
    {
      library: readWithLibrary,
      wasm: wasmWorks ? readWithWasm : () => Promise.resolve([]),
      browser: await browserDetector(),
    },
    { clock: () => performance.now() },
  )
  scope.postMessage({ kind: 'ready', canDraw: canDraw() })
}

async function take(frame: FrameShape, atMs: number): Promise<void> {
  try {
    const picture = pictureOf(frame)
    const sightings = schedule === null || picture === null ? [] : await schedule.look(picture)
    scope.postMessage({ kind: 'done', read: agreement.take(sightings, atMs) })
  } catch (error) {
    // One frame that trips a decoder must not end the scanning: the next one comes.
    console.error(error)
    scope.postMessage({ kind: 'done', read: null })
  }
}

function canDraw(): boolean {
  return (
    typeof OffscreenCanvas !== 'undefined' && new OffscreenCanvas(1, 1).getContext('2d') !== null
  )
}

function pictureOf(frame: FrameShape): Picture | null {
  if (frame.kind === 'pixels') {
    return greyOfRgba(new Uint8ClampedArray(frame.rgba), frame.width, frame.height)
  }
  const { bitmap } = frame
  const { width, height } = bitmap
  if (canvas?.width !== width || canvas.height !== height) {
    canvas = new OffscreenCanvas(width, height)
  }
  const context = canvas.getContext('2d', { willReadFrequently: true })
  context?.drawImage(bitmap, 0, 0)
  bitmap.close()
  if (context === null) return null
  return greyOfRgba(context.getImageData(0, 0, width, height).data, width, height)
}
