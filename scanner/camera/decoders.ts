// The decoders behind one shape: a grey picture in, texts with their corners out.
import {
  BinaryBitmap,
  DecodeHintType,
  GlobalHistogramBinarizer,
  HybridBinarizer,
  QRCodeReader,
  RGBLuminanceSource,
} from '@zxing/library'
import { readBarcodes } from 'zxing-wasm/reader'
import type { Picture, Point } from './picture.ts'

/** One symbol that a decoder read, with points around it in the picture that it was given. */
export interface Seen {
  readonly text: string
  /** Corners of the symbol, or middles of its three finder patterns. */
  readonly corners: readonly Point[]
  /** The decoder itself was in doubt: light on dark, or error correction nearly used up. */
  readonly marginal: boolean
}

/** How a decoder tells dark from light: by neighbourhood, or one threshold for all. */
export type Binarizer = 'local' | 'global'

/** What this phone can decode with. */
export interface Decoders {
  /** @zxing/library: one symbol at most. */
  readonly library: (picture: Picture, binarizer: Binarizer) => Seen[]
  /** zxing-wasm: all symbols that it finds. */
  readonly wasm: (picture: Picture, how: WasmOptions) => Promise<Seen[]>
  /** The browser's own; null where it has none for QR symbols. */
  readonly browser: ((picture: Picture) => Promise<Seen[]>) | null
}

export interface WasmOptions {
  readonly binarizer: Binarizer
  /** Closes small holes and takes away specks before looking. */
  readonly denoise?: boolean
}

/** Most symbols that are looked for in one picture: copies along a tag, and its neighbours. */
const SYMBOLS_LIMIT = 16

/** Below this share of unused error correction a read of zxing-wasm is marginal. Own choice. */
const CORRECTION_LEFT_FEWEST = 0.1

const reader = new QRCodeReader()
const hints = new Map([[DecodeHintType.TRY_HARDER, true]])

/** Reads at most one symbol with @zxing/library. */
export function readWithLibrary({ grey, width, height }: Picture, binarizer: Binarizer): Seen[] {
  const source = new RGBLuminanceSource(grey, width, height)
  const Binarizing = binarizer === 'local' ? HybridBinarizer : GlobalHistogramBinarizer
  try {
    const result = reader.decode(new BinaryBitmap(new Binarizing(source)), hints)
    const corners = result.getResultPoints().map((point) => ({ x: point.getX(), y: point.getY() }))
    return [{ text: result.getText(), corners, marginal: false }]
  } catch {
    // The library throws for every picture without a symbol, and on some broken symbols trips
    // over its own arrays; both mean that nothing was read.
    return []
  }
}

/** Reads every symbol with zxing-wasm, whose program must have been prepared. */
export async function readWithWasm(picture: Picture, how: WasmOptions): Promise<Seen[]> {
  const results = await readBarcodes(greyMap(picture), {
    formats: ['QRCode'],
    binarizer: how.binarizer === 'local' ? 'LocalAverage' : 'GlobalHistogram',
    tryDenoise: how.denoise === true,
    maxNumberOfSymbols: SYMBOLS_LIMIT,
  })
  return results.map(({ text, position, extra, isInverted }) => ({
    text,
    corners: [position.topLeft, position.topRight, position.bottomRight, position.bottomLeft],
    marginal: isInverted || isNearlyLost(extra),
  }))
}

/** A portable grey map: the decoder takes it as it is, where RGBA would be turned to grey again. */
function greyMap({ width, height, grey }: Picture): Uint8Array {
  const head = new TextEncoder().encode(`P5\n${width} ${height}\n255\n`)
  const map = new Uint8Array(head.length + grey.length)
  map.set(head)
  map.set(grey, head.length)
  return map
}

/** Whether error correction was nearly used up; what the decoder does not tell counts as fine. */
function isNearlyLost(extra: string): boolean {
  const parsed: unknown = extra === '' ? null : JSON.parse(extra)
  if (typeof parsed !== 'object' || parsed === null || !('UEC' in parsed)) return false
  return typeof parsed.UEC === 'number' && parsed.UEC < CORRECTION_LEFT_FEWEST
}
