// A film of one printed field tag, as the file that Chromium shows in place of a camera.
import { CLEAN } from '../scanner/frames/faults.ts'
import { writeFilm } from '../scanner/frames/film-file.ts'
import { film } from '../scanner/frames/sequence.ts'
import { paintTag, tagRequest } from '../scanner/frames/tag-texture.ts'
import { seeded } from '../sim/entry-writer.ts'

/** Writes the film of a tag with this code. */
export function writeTagVideo(path: string, code: string): void {
  const random = seeded(7)
  const label = { kind: 'field tag' as const, code, lines: ['Lot 26-014', 'Ruvello'] }
  const tag = paintTag(tagRequest(label, 'roll-100x25'), random)
  const size = { width: 640, height: 480 }
  writeFilm(path, film(tag, null, CLEAN, { frameCount: 4, ...size }, random).frames)
}
