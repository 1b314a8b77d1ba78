// Reads printed labels back with programs that are not ours: poppler, zbar and zxing.
import { execFileSync, spawnSync } from 'node:child_process'
import { mkdtempSync, readFileSync, readdirSync, rmSync, writeFileSync } from 'node:fs'
import { createRequire } from 'node:module'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { PNG } from 'pngjs'
import { prepareZXingModule, readBarcodes } from 'zxing-wasm/reader'

const require = createRequire(import.meta.url)
// The decoder's program comes out of its package; by default it would be fetched from a network.
const wasmBinary = readFileSync(require.resolve('zxing-wasm/reader/zxing_reader.wasm'))

/** One symbol as a decoder reports it. */
export interface ReadSymbol {
  text: string
  version: string
  level: string
}

/** Runs work on a PDF in a folder that is removed afterwards. */
export async function withPdf<T>(
  pdf: Uint8Array,
  work: (path: string, folder: string) => T | Promise<T>,
): Promise<T> {
  const folder = mkdtempSync(join(tmpdir(), 'canemark-labels-'))
  try {
    const path = join(folder, 'labels.pdf')
    writeFileSync(path, pdf)
    return await work(path, folder)
  } finally {
    rmSync(folder, { recursive: true })
  }
}

/** Every page as a PNG at a resolution, in grey, through pdftoppm. */
export function rasterise(pdf: Uint8Array, dpi: number): Promise<Buffer[]> {
  return withPdf(pdf, (path, folder) => {
    execFileSync('pdftoppm', ['-r', String(dpi), '-gray', '-png', path, join(folder, 'page')])
    return readdirSync(folder)
      .filter((name) => name.endsWith('.png'))
      .sort()
      .map((name) => readFileSync(join(folder, name)))
  })
}

/** All symbols on a picture, through zxing. */
export async function readWithZxing(png: Uint8Array): Promise<ReadSymbol[]> {
  prepareZXingModule({ overrides: { wasmBinary: new Uint8Array(wasmBinary).buffer } })
  const options = { formats: ['QRCode' as const], maxNumberOfSymbols: 255, tryHarder: true }
  const results = await readBarcodes(png, options)
  return results.map(({ text, version, ecLevel }) => ({ text, version, level: ecLevel }))
}

/** The texts of all symbols on a picture, through zbar. */
export function readWithZbar(png: Uint8Array): string[] {
  const folder = mkdtempSync(join(tmpdir(), 'canemark-zbar-'))
  try {
    const path = join(folder, 'page.png')
    writeFileSync(path, png)
    const args = ['--quiet', '--raw', '-Sdisable', '-Sqrcode.enable', path]
    const { stdout, status } = spawnSync('zbarimg', args, { encoding: 'utf8' })
    // Status 4: no symbol was found.
    if (status !== 0 && status !== 4) throw new Error(`zbarimg ended with ${status}`)
    return stdout.split('\n').filter((line) => line !== '')
  } finally {
    rmSync(folder, { recursive: true })
  }
}

/** What a poppler program or qpdf prints about a PDF. */
export function askTool(pdf: Uint8Array, tool: string, ...args: string[]): Promise<string> {
  return withPdf(pdf, (path) => {
    const filled = args.map((argument) => (argument === 'PDF' ? path : argument))
    return execFileSync(tool, filled, { encoding: 'utf8' })
  })
}

/** The pixels of a picture, one grey value each, 0 black to 255 white. */
export function greyPixels(png: Buffer): { width: number; height: number; grey: Uint8Array } {
  const { width, height, data } = PNG.sync.read(png)
  const grey = Uint8Array.from({ length: width * height }, (_, at) => data[at * 4] ?? 0)
  return { width, height, grey }
}

/** The picture with every dark pixel spread to its neighbours so many times, as ink spreads. */
export function thickened(png: Buffer, times: number): Buffer {
  const { width, height, grey } = greyPixels(png)
  let dark = Uint8Array.from(grey, (value) => (value < 128 ? 1 : 0))
  for (let time = 0; time < times; time++) {
    const before = dark
    dark = Uint8Array.from(before, (value, at) => {
      const x = at % width
      const beside = [x > 0 ? at - 1 : at, x < width - 1 ? at + 1 : at, at - width, at + width]
      return value === 1 || beside.some((near) => before[near] === 1) ? 1 : 0
    })
  }
  const picture = new PNG({ width, height })
  for (const [at, value] of dark.entries()) {
    picture.data.fill(value === 1 ? 0 : 255, at * 4, at * 4 + 3)
    picture.data[at * 4 + 3] = 255
  }
  return PNG.sync.write(picture)
}
