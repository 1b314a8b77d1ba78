// A film of one printed field tag, as the file that Chromium shows in place of a camera.
import { writeFile } from 'node:fs/promises'
import type { Picture } from '../../scanner/camera/picture.ts'
import { CLEAN } from '../scanner/frames/faults.ts'
import { film } from '../scanner/frames/sequence.ts'
import { paintTag, tagRequest } from '../scanner/frames/tag-texture.ts'
import { seeded } from '../sim/entry-writer.ts'

const SIZE = { width: 640, height: 480 }

/** Writes it as uncompressed YUV4MPEG2, which Chromium plays over and over. */
export async function writeTagVideo(path: string, code: string): Promise<void> {
  const random = seeded(7)
  const label = { kind: 'field tag' as const, code, lines: ['Lot 26-014', 'Ruvello'] }
  const tag = paintTag(tagRequest(label, 'roll-100x25'), random)
  const { frames } = film(tag, null, CLEAN, { frameCount: 4, ...SIZE }, random)
  const header = Buffer.from(`YUV4MPEG2 W${SIZE.width} H${SIZE.height} F10:1 Ip A1:1 C420jpeg\n`)
  await writeFile(path, Buffer.concat([header, ...frames.map(frameOf)]))
}

/** Grey as it is, without colour. */
function frameOf({ grey, width, height }: Picture): Buffer {
  const colourless = Buffer.alloc((width * height) / 2, 128)
  return Buffer.concat([Buffer.from('FRAME\n'), Buffer.from(grey), colourless])
}
