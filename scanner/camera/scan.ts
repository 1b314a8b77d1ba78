// Scanning for a screen: camera on, frames to the decoding worker, reads back, off when hidden.
import type { CameraRead } from './agreement.ts'
import { nextFrame, takeFrame } from './frames.ts'
import type { FromWorker, ToWorker } from './messages.ts'
import { CameraError, closeCamera, hasTorch, openCamera, setTorch } from './open-camera.ts'
import type { CameraTrouble, Torch } from './open-camera.ts'

export type { CameraRead, CameraTrouble, Torch }

/** A camera that looks for tags until it is stopped. */
export interface Scanning {
  /** Why there is no picture; null while all is well. Announced through `onChange`. */
  readonly trouble: CameraTrouble | null
  /** True once frames are being looked at. */
  readonly looking: boolean
  readonly torch: Torch
  /** Lets a tag that is still in view be told once more. */
  again(): void
  /** Turns camera and worker off for good; nothing is told afterwards. */
  stop(): void
}

/** Where the worker and the decoder's program lie, and what to call back. */
export interface ScanOptions {
  /** Called after `trouble`, `looking` or `torch` changed. */
  readonly onChange?: () => void
  /** Address of the bundled `worker.ts`; by default beside the page. */
  readonly workerAddress?: string | URL
  /** Address of zxing-wasm's `zxing_reader.wasm`; by default beside the page. */
  readonly wasmAddress?: string | URL
}

/** File names that the build gives to the worker and to the decoder's program. */
export const WORKER_FILE = 'decode-worker.js'
export const WASM_FILE = 'zxing_reader.wasm'

/**
 * Starts scanning into `video`, which shows the camera's picture. A text is told once, and again
 * only after it was out of view or {@link Scanning.again} was called. What a text means is for the
 * caller to find out: foreign texts are told too.
 */
export function startScanning(
  video: HTMLVideoElement,
  onRead: (read: CameraRead) => void,
  options: ScanOptions = {},
): Scanning {
  return new CameraScanning(video, onRead, options)
}

class CameraScanning implements Scanning {
  trouble: CameraTrouble | null = null
  looking = false
  #torchOn = false
  #stream: MediaStream | null = null
  #worker: Worker
  #workerState: 'starting' | 'ready' | 'broken' = 'starting'
  #canDraw = true
  #isBusy = false
  #isStopped = false
  #isOpening = false
  readonly #listening = new AbortController()

  constructor(
    readonly video: HTMLVideoElement,
    readonly onRead: (read: CameraRead) => void,
    readonly options: ScanOptions,
  ) {
    const base = document.baseURI
    this.#worker = new Worker(new URL(options.workerAddress ?? WORKER_FILE, base), {
      type: 'module',
    })
    this.#worker.onmessage = ({ data }: MessageEvent<FromWorker>) => this.#heard(data)
    this.#worker.onerror = () => this.#broken()
    this.#send({
      kind: 'begin',
      wasmAddress: new URL(options.wasmAddress ?? WASM_FILE, base).href,
    })
    const { signal } = this.#listening
    document.addEventListener('visibilitychange', () => this.#seenOrHidden(), { signal })
    this.#seenOrHidden()
  }

  get torch(): Torch {
    return {
      available: this.#stream !== null && hasTorch(this.#stream),
      on: this.#torchOn,
      set: async (on) => {
        if (this.#stream === null) return false
        this.#torchOn = await setTorch(this.#stream, on)
        this.#changed()
        return this.#torchOn
      },
    }
  }

  again(): void {
    this.#send({ kind: 'again' })
  }

  stop(): void {
    this.#isStopped = true
    this.#listening.abort()
    this.#close()
    this.#worker.terminate()
  }

  #changed(): void {
    if (!this.#isStopped) this.options.onChange?.()
  }

  #send(message: ToWorker, transfer: Transferable[] = []): void {
    if (!this.#isStopped) this.#worker.postMessage(message, transfer)
  }

  /** A hidden page gives the camera up: it costs power, and other apps may want it. */
  #seenOrHidden(): void {
    if (document.visibilityState === 'hidden') {
      this.#close()
      this.#changed()
    } else if (this.#stream === null && !this.#isOpening) {
      void this.#open()
    }
  }

  async #open(): Promise<void> {
    this.#isOpening = true
    try {
      const stream = await openCamera(this.video)
      if (this.#isStopped || document.visibilityState === 'hidden') {
        closeCamera(this.video, stream)
        return
      }
      this.#stream = stream
      this.trouble = this.#workerState === 'broken' ? 'no decoder' : null
      // Whoever comes back to the app may mean the tag that was in view when they left.
      this.again()
      // A camera that is unplugged or taken away ends its track.
      const { signal } = this.#listening
      stream.getVideoTracks()[0]?.addEventListener('ended', () => this.#lost(stream), { signal })
      void this.#look(stream)
    } catch (error) {
      this.trouble = error instanceof CameraError ? error.trouble : 'in use'
    } finally {
      this.#isOpening = false
      this.#changed()
    }
  }

  #lost(stream: MediaStream): void {
    if (this.#stream !== stream) return
    this.#close()
    this.trouble = 'in use'
    this.#changed()
  }

  #close(): void {
    if (this.#stream !== null) closeCamera(this.video, this.#stream)
    this.#stream = null
    this.#torchOn = false
    this.looking = false
  }

  /** One frame at a time: the next is taken when the worker is done, so none waits in a queue. */
  async #look(stream: MediaStream): Promise<void> {
    while (this.#stream === stream) {
      await nextFrame(this.video)
      if (this.#stream !== stream) return
      if (this.#workerState !== 'ready' || this.#isBusy) continue
      this.#isBusy = true
      const taken = await takeFrame(this.video, this.#canDraw)
      if (taken === null || this.#stream !== stream) {
        this.#isBusy = false
        continue
      }
      this.#send({ kind: 'frame', frame: taken.frame, atMs: performance.now() }, taken.transfer)
      if (!this.looking) {
        this.looking = true
        this.#changed()
      }
    }
  }

  #heard(message: FromWorker): void {
    if (message.kind === 'ready') {
      this.#workerState = 'ready'
      this.#canDraw = message.canDraw
    } else if (message.kind === 'broken') {
      this.#broken()
    } else {
      this.#isBusy = false
      // A read that arrives after the camera closed belongs to a screen that is gone.
      if (message.read !== null && this.#stream !== null) this.onRead(message.read)
    }
  }

  #broken(): void {
    this.#workerState = 'broken'
    this.trouble ??= 'no decoder'
    this.#changed()
  }
}
