// The same tag off our own PDF, through pdftoppm: the real print, words and all.
import { renderLabels } from '../../../api/labels/render.ts'
import type { LabelRequestInput } from '../../../api/labels/request.ts'
import { newPicture } from '../../../scanner/camera/picture.ts'
import { greyPixels, rasterise } from '../../labels/read-labels.ts'
import { paintTag } from './tag-texture.ts'
import type { TagTexture } from './tag-texture.ts'

/** Prints one tag to PDF and takes its page, a pixel a printer dot. */
export async function printTag(request: LabelRequestInput): Promise<TagTexture> {
  const [page] = await rasterise(await renderLabels(request), 203)
  if (page === undefined) throw new Error('the print has no page')
  const { width, height, grey } = greyPixels(page)
  const ink = { width, height, grey: new Uint8ClampedArray(grey) }
  const there = newPicture(width, height)
  there.grey.fill(255)
  return { ...paintTag(request, () => 0.5), ink, there }
}
