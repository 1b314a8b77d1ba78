// The attempts at reading a frame, in the order that our measurement found best.
import type { Decoders, Seen, WasmOptions } from './decoders.ts'
import { blurred, inverted, median, sharpened } from './picture.ts'
import { changed, larger, turnedEighth } from './views.ts'
import type { View, Views } from './views.ts'

/** One way of trying to read a frame. */
export interface Attempt {
  readonly name: string
  /** Its reads count only with a second that agrees: it looks at greys that it changed itself. */
  readonly marginal: boolean
  /** Made on every frame; the others take turns. */
  readonly everyFrame: boolean
  /** Symbols with their corners in the frame. */
  readonly look: (views: Views, decoders: Decoders) => Promise<readonly Seen[]>
}

/** Side of the squares that hold a tag at arm's length with its neighbours, in pixels. */
const NEAR_PX = 320
/** Side of the squares that hold a single symbol at arm's length, in pixels. */
const ONE_SYMBOL_PX = 160

/**
 * All attempts. Choice and order are by `tests/bench/decoding.ts` (table in docs/decoding.md):
 * first what reads most that the ones before it leave over, in its time. Cut-outs come before
 * whole pictures: copies along a tag confuse @zxing/library, which looks for one symbol, and a
 * smaller picture costs less.
 */
export const ATTEMPTS: readonly Attempt[] = [
  everyFrame('wasm', (views) => views.whole, { binarizer: 'local' }),
  wasm('wasm near quadrupled', (views) => enlarge(views.placeDoubled(0, ONE_SYMBOL_PX))),
  marginal('wasm denoised', (views) => views.whole),
  wasm('wasm near doubled global', (views) => views.placeDoubled(0, NEAR_PX), 'global'),
  library('library near', (views) => views.placeDoubled(0, ONE_SYMBOL_PX)),
  marginal('wasm near sharpened', (views) => {
    return enlarge(alter(views.place(0, NEAR_PX), (picture) => sharpened(picture, 1, 1.5)))
  }),
  marginal('wasm near blurred', (views) => {
    return alter(enlarge(alter(views.place(0, NEAR_PX), blurred)), blurred)
  }),
  library('library near global', (views) => views.placeDoubled(0, ONE_SYMBOL_PX), {
    binarizer: 'global',
  }),
  marginal('wasm denoised global', (views) => views.whole, { binarizer: 'global' }),
  wasm('wasm second place', (views) => enlarge(views.placeDoubled(1, ONE_SYMBOL_PX))),
  marginal('wasm blurred', (views) => alter(views.whole, blurred)),
  library('library', (views) => views.whole),
  wasm('wasm near turned', (views) => turn(views.placeDoubled(0, NEAR_PX))),
  library('library half', (views) => views.half),
  marginal('wasm near median', (views) => alter(views.place(0, NEAR_PX), median)),
  library('library second place', (views) => views.placeDoubled(1, ONE_SYMBOL_PX)),
  library('library inverted', (views) => alter(views.placeDoubled(0, ONE_SYMBOL_PX), inverted), {
    marginal: true,
  }),
]

type Pick = (views: Views) => View | null

function everyFrame(name: string, pick: Pick, how: WasmOptions): Attempt {
  return { name, marginal: false, everyFrame: true, look: lookWithWasm(pick, how) }
}

function wasm(name: string, pick: Pick, binarizer: WasmOptions['binarizer'] = 'local'): Attempt {
  return { name, marginal: false, everyFrame: false, look: lookWithWasm(pick, { binarizer }) }
}

function marginal(name: string, pick: Pick, how: Partial<WasmOptions> = {}): Attempt {
  const look = lookWithWasm(pick, { binarizer: 'local', denoise: true, ...how })
  return { name, marginal: true, everyFrame: false, look }
}

function library(
  name: string,
  pick: Pick,
  how: { binarizer?: WasmOptions['binarizer']; marginal?: boolean } = {},
): Attempt {
  const look = (views: Views, decoders: Decoders) => {
    const view = pick(views)
    if (view === null) return Promise.resolve([])
    return Promise.resolve(inFrame(view, decoders.library(view.picture, how.binarizer ?? 'local')))
  }
  return { name, marginal: how.marginal ?? false, everyFrame: false, look }
}

function lookWithWasm(pick: Pick, how: WasmOptions): Attempt['look'] {
  return async (views, decoders) => {
    const view = pick(views)
    return view === null ? [] : inFrame(view, await decoders.wasm(view.picture, how))
  }
}

function inFrame({ toFrame }: View, found: readonly Seen[]): Seen[] {
  return found.map((one) => ({ ...one, corners: one.corners.map(toFrame) }))
}

function alter(view: View | null, change: Parameters<typeof changed>[1]): View | null {
  return view === null ? null : changed(view, change)
}

function turn(view: View | null): View | null {
  return view === null ? null : turnedEighth(view)
}

function enlarge(view: View | null): View | null {
  return view === null ? null : larger(view)
}
