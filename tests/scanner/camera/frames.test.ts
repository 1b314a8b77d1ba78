// The generated frames are what they claim: our own print, readable when clean, the same by seed.
import { PNG } from 'pngjs'
import { describe, expect, it } from 'vitest'
import { rgbaOfGrey } from '../../../scanner/camera/picture.ts'
import type { Picture } from '../../../scanner/camera/picture.ts'
import { exampleFieldTag, exampleLeavingLabel } from '../../labels/examples.ts'
import { readWithZbar } from '../../labels/read-labels.ts'
import { seeded } from '../../sim/entry-writer.ts'
import { requireTool } from '../../tools.ts'
import { CLEAN, FAULTS, conditionsOf } from '../frames/faults.ts'
import { printTag } from '../frames/printed-tag.ts'
import { film, makeSequence } from '../frames/sequence.ts'
import { TEXELS_PER_MM, paintTag, tagRequest } from '../frames/tag-texture.ts'
import type { TagTexture } from '../frames/tag-texture.ts'

const size = { width: 1280, height: 720, frameCount: 1 }

function pngOf(picture: Picture): Buffer {
  const png = new PNG({ width: picture.width, height: picture.height })
  png.data = Buffer.from(rgbaOfGrey(picture))
  return PNG.sync.write(png)
}

/** Grey in the middle of every module of every symbol, row by row. */
function modulesOf({ ink, symbols, moduleMm }: TagTexture): boolean[] {
  return symbols.flatMap(({ xMm, yMm, sideMm }) => {
    const side = Math.round(sideMm / moduleMm)
    return Array.from({ length: side * side }, (_, at) => {
      const x = (xMm - sideMm / 2 + ((at % side) + 0.5) * moduleMm) * TEXELS_PER_MM
      const y = (yMm - sideMm / 2 + (Math.floor(at / side) + 0.5) * moduleMm) * TEXELS_PER_MM
      return (ink.grey[Math.floor(y) * ink.width + Math.floor(x)] ?? 0) < 128
    })
  })
}

describe('the painted tag', () => {
  it('has the same modules at the same places as the printed PDF', async (ctx) => {
    requireTool(ctx, 'pdftoppm')
    for (const request of [
      tagRequest(exampleFieldTag(0), 'roll-100x25'),
      tagRequest(exampleFieldTag(1), 'roll-50x25'),
      tagRequest(exampleLeavingLabel(2), 'roll-100x70'),
    ]) {
      const painted = modulesOf(paintTag(request, seeded(1)))
      expect(painted).toContain(true)
      expect(painted).toEqual(modulesOf(await printTag(request)))
    }
  })
})

describe('the frames', () => {
  it('an outside reader reads clean frames of the painted and of the printed tag', async (ctx) => {
    requireTool(ctx, 'zbarimg', 'pdftoppm')
    const request = tagRequest(exampleFieldTag(3), 'roll-100x25')
    const tags = [paintTag(request, seeded(1)), await printTag(request)]
    for (const tag of tags) {
      // Nearer than usual: this reader wants larger modules than a tag at arm's length has.
      const near = { ...CLEAN, pxPerModule: 5 }
      const [frame] = film(tag, null, near, size, seeded(2)).frames
      if (frame === undefined) throw new Error('a film has a frame')
      expect(new Set(readWithZbar(pngOf(frame)))).toEqual(new Set([tag.code]))
    }
  })

  it('the same order gives the same pixels, another number others', () => {
    const order = { fault: 'several', level: 3, ...size, width: 320, height: 180 } as const
    const [first, again, other] = [1, 1, 2].map((nr) => makeSequence({ ...order, nr }).frames[0])
    expect(Buffer.from(first?.grey ?? [])).toEqual(Buffer.from(again?.grey ?? []))
    expect(Buffer.from(first?.grey ?? []).equals(Buffer.from(other?.grey ?? []))).toBe(false)
  })

  it('every level of every fault differs from a clean tag', () => {
    for (const fault of FAULTS) {
      for (const level of [1, 2, 3, 4, 5]) expect(conditionsOf(fault, level)).not.toEqual(CLEAN)
    }
  })
})
