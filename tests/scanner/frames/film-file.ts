// Writes frames as the file that Chromium shows in place of a camera.
import { writeFileSync } from 'node:fs'
import type { Picture } from '../../../scanner/camera/picture.ts'

/** Uncompressed YUV4MPEG2, ten frames a second; the browser plays it over and over. */
export function writeFilm(path: string, frames: readonly Picture[]): void {
  const { width = 0, height = 0 } = frames[0] ?? {}
  const head = Buffer.from(`YUV4MPEG2 W${width} H${height} F10:1 Ip A1:1 C420jpeg\n`)
  const colourless = Buffer.alloc((width * height) / 2, 128)
  const parts = frames.flatMap(({ grey }) => [
    Buffer.from('FRAME\n'),
    Buffer.from(grey),
    colourless,
  ])
  writeFileSync(path, Buffer.concat([head, ...parts]))
}
