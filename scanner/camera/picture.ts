// Grey pictures and the ways of changing one that give a decoder another chance.

/** One picture: a byte a pixel, row by row, 0 black to 255 white. */
export interface Picture {
  readonly width: number
  readonly height: number
  readonly grey: Uint8ClampedArray
}

/** A corner of a symbol, in pixels from the picture's upper left. */
export interface Point {
  readonly x: number
  readonly y: number
}

export function newPicture(width: number, height: number): Picture {
  return { width, height, grey: new Uint8ClampedArray(width * height) }
}

/** Luma of ITU-R BT.601 in whole numbers, alpha left out. */
export function greyOfRgba(rgba: Uint8ClampedArray, width: number, height: number): Picture {
  const picture = newPicture(width, height)
  const { grey } = picture
  for (let at = 0, from = 0; at < grey.length; at += 1, from += 4) {
    const red = rgba[from] ?? 0
    const green = rgba[from + 1] ?? 0
    const blue = rgba[from + 2] ?? 0
    grey[at] = (306 * red + 601 * green + 117 * blue + 512) >> 10
  }
  return picture
}

/** The same grey as RGBA, for decoders that want four bytes a pixel. */
export function rgbaOfGrey({ grey }: Picture): Uint8ClampedArray<ArrayBuffer> {
  const words = new Uint32Array(grey.length)
  for (let at = 0; at < grey.length; at += 1) {
    words[at] = (0xff000000 | ((grey[at] ?? 0) * 0x010101)) >>> 0
  }
  return new Uint8ClampedArray(words.buffer)
}

/** Half as wide and high; each pixel is the mean of four. Takes noise out of large symbols. */
export function halfSize({ width, height, grey }: Picture): Picture {
  const half = newPicture(width >> 1, height >> 1)
  let to = 0
  for (let y = 0; y < half.height; y += 1) {
    let from = 2 * y * width
    for (let x = 0; x < half.width; x += 1, from += 2) {
      const upper = (grey[from] ?? 0) + (grey[from + 1] ?? 0)
      const lower = (grey[from + width] ?? 0) + (grey[from + width + 1] ?? 0)
      half.grey[to++] = (upper + lower + 2) >> 2
    }
  }
  return half
}

/** Twice as wide and high, with values in between: for small symbols. */
export function doubled({ width, height, grey }: Picture): Picture {
  const large = newPicture(width * 2, height * 2)
  for (let y = 0; y < large.height; y += 1) {
    const above = (y >> 1) * width
    const below = (y & 1) === 0 || y === large.height - 1 ? above : above + width
    let to = y * large.width
    for (let x = 0; x < width; x += 1) {
      const right = x === width - 1 ? x : x + 1
      const here = (grey[above + x] ?? 0) + (grey[below + x] ?? 0)
      const next = (grey[above + right] ?? 0) + (grey[below + right] ?? 0)
      large.grey[to++] = here >> 1
      large.grey[to++] = (here + next) >> 2
    }
  }
  return large
}

/**
 * Median of three by three: takes out scratches and specks and leaves edges where they are. The
 * median of the highest low, the median middle and the lowest high of three sorted columns.
 */
export function median({ width, height, grey }: Picture): Picture {
  const result = newPicture(width, height)
  const low = new Uint8Array(width)
  const middle = new Uint8Array(width)
  const high = new Uint8Array(width)
  for (let y = 0; y < height; y += 1) {
    const up = y === 0 ? 0 : -width
    const down = y === height - 1 ? 0 : width
    for (let x = 0; x < width; x += 1) {
      const at = y * width + x
      const a = grey[at + up] ?? 0
      const b = grey[at] ?? 0
      const c = grey[at + down] ?? 0
      low[x] = Math.min(a, b, c)
      middle[x] = middleOf(a, b, c)
      high[x] = Math.max(a, b, c)
    }
    for (let x = 0; x < width; x += 1) {
      const left = x === 0 ? 0 : x - 1
      const right = x === width - 1 ? x : x + 1
      result.grey[y * width + x] = middleOf(
        Math.max(low[left] ?? 0, low[x] ?? 0, low[right] ?? 0),
        middleOf(middle[left] ?? 0, middle[x] ?? 0, middle[right] ?? 0),
        Math.min(high[left] ?? 0, high[x] ?? 0, high[right] ?? 0),
      )
    }
  }
  return result
}

function middleOf(a: number, b: number, c: number): number {
  return Math.max(Math.min(a, b), Math.min(Math.max(a, b), c))
}

/** Three by three binomial blur: takes out noise, scratches and seams between dots. */
export function blurred({ width, height, grey }: Picture): Picture {
  const across = new Uint16Array(width * height)
  for (let y = 0; y < height; y += 1) {
    const row = y * width
    for (let x = 0; x < width; x += 1) {
      const at = row + x
      const left = grey[x === 0 ? at : at - 1] ?? 0
      const right = grey[x === width - 1 ? at : at + 1] ?? 0
      across[at] = left + 2 * (grey[at] ?? 0) + right
    }
  }
  const result = newPicture(width, height)
  for (let y = 0; y < height; y += 1) {
    const up = y === 0 ? 0 : -width
    const down = y === height - 1 ? 0 : width
    for (let at = y * width; at < (y + 1) * width; at += 1) {
      const sum = (across[at + up] ?? 0) + 2 * (across[at] ?? 0) + (across[at + down] ?? 0)
      result.grey[at] = (sum + 8) >> 4
    }
  }
  return result
}

/** White for black: tags printed or etched light on dark. */
export function inverted({ width, height, grey }: Picture): Picture {
  const result = newPicture(width, height)
  for (let at = 0; at < grey.length; at += 1) result.grey[at] = 255 - (grey[at] ?? 0)
  return result
}

/** Upside down. */
export function turnedHalf({ width, height, grey }: Picture): Picture {
  return { width, height, grey: grey.slice().reverse() }
}

/** The middle square turned by 45 degrees, values in between: for symbols standing on a corner. */
export function middleTurnedEighth({ width, height, grey }: Picture): Picture {
  const side = Math.min(width, height)
  const result = newPicture(side, side)
  const step = Math.SQRT1_2
  for (let y = 0; y < side; y += 1) {
    let fromX = width / 2 + step * (-side / 2 - (y - side / 2))
    let fromY = height / 2 + step * (-side / 2 + (y - side / 2))
    for (let x = 0; x < side; x += 1, fromX += step, fromY += step) {
      const left = Math.floor(fromX)
      const top = Math.floor(fromY)
      if (left < 0 || top < 0 || left >= width - 1 || top >= height - 1) {
        result.grey[y * side + x] = 255
        continue
      }
      const [shareX, shareY] = [fromX - left, fromY - top]
      const at = top * width + left
      const upper = (grey[at] ?? 0) * (1 - shareX) + (grey[at + 1] ?? 0) * shareX
      const lower = (grey[at + width] ?? 0) * (1 - shareX) + (grey[at + width + 1] ?? 0) * shareX
      result.grey[y * side + x] = upper * (1 - shareY) + lower * shareY
    }
  }
  return result
}

/** Mean over squares of side 2 `radius` + 1, edges clipped, by sums over rows and columns. */
export function boxMean({ width, height, grey }: Picture, radius: number): Picture {
  const sums = new Uint32Array((width + 1) * (height + 1))
  for (let y = 0; y < height; y += 1) {
    let rowSum = 0
    for (let x = 0; x < width; x += 1) {
      rowSum += grey[y * width + x] ?? 0
      sums[(y + 1) * (width + 1) + x + 1] = rowSum + (sums[y * (width + 1) + x + 1] ?? 0)
    }
  }
  const result = newPicture(width, height)
  for (let y = 0; y < height; y += 1) {
    const top = Math.max(0, y - radius) * (width + 1)
    const bottom = Math.min(height, y + radius + 1) * (width + 1)
    const rows = (bottom - top) / (width + 1)
    for (let x = 0; x < width; x += 1) {
      const left = Math.max(0, x - radius)
      const right = Math.min(width, x + radius + 1)
      const sum =
        (sums[bottom + right] ?? 0) -
        (sums[bottom + left] ?? 0) -
        (sums[top + right] ?? 0) +
        (sums[top + left] ?? 0)
      result.grey[y * width + x] = sum / (rows * (right - left))
    }
  }
  return result
}

/** Edges made steeper by taking away the neighbourhood: for lens and motion blur. */
export function sharpened(picture: Picture, radius: number, amount: number): Picture {
  const mean = boxMean(picture, radius)
  const { grey } = picture
  for (let at = 0; at < grey.length; at += 1) {
    const here = grey[at] ?? 0
    mean.grey[at] = here + amount * (here - (mean.grey[at] ?? 0))
  }
  return mean
}

/** Light made even: each pixel against the mean of its wide neighbourhood. For shadow and glare. */
export function evened(picture: Picture, radius: number): Picture {
  const mean = boxMean(picture, radius)
  const { grey } = picture
  for (let at = 0; at < grey.length; at += 1) {
    mean.grey[at] = (128 * (grey[at] ?? 0)) / Math.max(8, mean.grey[at] ?? 0)
  }
  return mean
}

/** The picture with an area painted over, so that a decoder looks for what else is there. */
export function withoutArea(picture: Picture, corners: readonly Point[], margin: number): Picture {
  const { width, height } = picture
  const grey = picture.grey.slice()
  const xs = corners.map(({ x }) => x)
  const ys = corners.map(({ y }) => y)
  const left = Math.max(0, Math.floor(Math.min(...xs) - margin))
  const right = Math.min(width, Math.ceil(Math.max(...xs) + margin))
  const top = Math.max(0, Math.floor(Math.min(...ys) - margin))
  const bottom = Math.min(height, Math.ceil(Math.max(...ys) + margin))
  for (let y = top; y < bottom; y += 1) grey.fill(160, y * width + left, y * width + right)
  return { width, height, grey }
}
