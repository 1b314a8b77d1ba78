// The views of one frame that attempts look at, each made once and only when asked for.
import { cutOut, livelyPlaces } from './lively.ts'
import { doubled, halfSize, middleTurnedEighth, turnedHalf } from './picture.ts'
import type { Picture, Point } from './picture.ts'

/** A picture made out of a frame, and where its points lie in the frame. */
export interface View {
  readonly picture: Picture
  readonly toFrame: (point: Point) => Point
}

/** Places of a frame that are tried one after the other. */
export const PLACES_LIMIT = 3

/** One frame and all that was made out of it so far. */
export class Views {
  readonly whole: View
  #places: readonly Point[] | null = null
  readonly #made = new Map<string, View | null>()

  constructor(readonly frame: Picture) {
    this.whole = { picture: frame, toFrame: (point) => point }
  }

  /** A square of `sidePx` around the `nr`-th liveliest place, from 0; null where there is none. */
  place(nr: number, sidePx: number): View | null {
    this.#places ??= livelyPlaces(this.frame, PLACES_LIMIT)
    const place = this.#places[nr]
    if (place === undefined) return null
    return this.#once(`place ${nr} ${sidePx}`, () => {
      const { picture, left, top } = cutOut(this.frame, place, sidePx)
      return { picture, toFrame: ({ x, y }) => ({ x: x + left, y: y + top }) }
    })
  }

  /** The same place twice as large. */
  placeDoubled(nr: number, sidePx: number): View | null {
    const near = this.place(nr, sidePx)
    if (near === null) return null
    return this.#once(`doubled ${nr} ${sidePx}`, () => larger(near))
  }

  get half(): View {
    return { picture: halfSize(this.frame), toFrame: ({ x, y }) => ({ x: 2 * x, y: 2 * y }) }
  }

  get upsideDown(): View {
    const { width, height } = this.frame
    return {
      picture: turnedHalf(this.frame),
      toFrame: ({ x, y }) => ({ x: width - x, y: height - y }),
    }
  }

  #once(name: string, make: () => View): View | null {
    const made = this.#made.get(name) ?? make()
    this.#made.set(name, made)
    return made
  }
}

/** A view with other greys in the same places. */
export function changed(view: View, change: (picture: Picture) => Picture): View {
  return { picture: change(view.picture), toFrame: view.toFrame }
}

export function larger(view: View): View {
  return {
    picture: doubled(view.picture),
    toFrame: ({ x, y }) => view.toFrame({ x: x / 2, y: y / 2 }),
  }
}

export function turnedEighth(view: View): View {
  const { width, height } = view.picture
  const half = Math.min(width, height) / 2
  return {
    picture: middleTurnedEighth(view.picture),
    toFrame: ({ x, y }) => {
      const [right, down] = [(x - half) * Math.SQRT1_2, (y - half) * Math.SQRT1_2]
      return view.toFrame({ x: width / 2 + right - down, y: height / 2 + right + down })
    },
  }
}
