// What the page and the decoding worker say to each other.
import type { CameraRead } from './agreement.ts'

/** A frame as it crosses over: a bitmap where the browser has it, else its pixels. */
export type FrameShape =
  | { readonly kind: 'bitmap'; readonly bitmap: ImageBitmap }
  | {
      readonly kind: 'pixels'
      /** RGBA, 8 bit. */
      readonly rgba: ArrayBuffer
      readonly width: number
      readonly height: number
    }

export type ToWorker =
  | { readonly kind: 'begin'; readonly wasmAddress: string }
  | { readonly kind: 'frame'; readonly frame: FrameShape; readonly atMs: number }
  | { readonly kind: 'again' }

export type FromWorker =
  /** The worker takes frames; `canDraw` is false where it cannot read a bitmap itself. */
  | { readonly kind: 'ready'; readonly canDraw: boolean }
  /** A frame is done with; the next may come. */
  | { readonly kind: 'done'; readonly read: CameraRead | null }
  | { readonly kind: 'broken'; readonly message: string }
