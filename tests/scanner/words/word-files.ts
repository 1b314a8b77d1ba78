// Finds the files that hold the phone's sentences.
import { readdirSync } from 'node:fs'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'

const folder = fileURLToPath(new URL('../../../scanner/', import.meta.url))

/** Files like `scan.en.ts`, without the lists that only bring them together. */
export function wordFiles(language: string): string[] {
  return readdirSync(folder, { recursive: true, encoding: 'utf8' })
    .filter((name) => name.endsWith(`.${language}.ts`) && !/(^|\/)words\.\w+\.ts$/.test(name))
    .map((name) => join(folder, name))
}
