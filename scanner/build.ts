// Builds the phone app in memory: bundles with esbuild, and everything that is served beside them.
import { createHash } from 'node:crypto'
import { existsSync } from 'node:fs'
import { readFile } from 'node:fs/promises'
import { createRequire } from 'node:module'
import path from 'node:path'
import { fileURLToPath } from 'node:url'
import { promisify } from 'node:util'
import { gzip } from 'node:zlib'
import { build } from 'esbuild'
import type { BuildOptions, OutputFile, Plugin } from 'esbuild'
import { indexPage, manifest } from './page.ts'
import { SCOPE } from './worker/pages.ts'

const folder = fileURLToPath(new URL('.', import.meta.url))
const fileOf = (name: string) => path.join(folder, name)
const gzipped = promisify(gzip)

/** One file as it is served. */
export interface BuiltFile {
  readonly type: string
  readonly bytes: Buffer
  /** The same compressed, where that is worth it. */
  readonly gzip: Buffer | null
  /** SHA-256 of `bytes`, in hexadecimal. */
  readonly sha256: string
  /** Does its name change with its content, so that it may be kept for ever? */
  readonly isHashed: boolean
}

/** The whole app: its files by the name that follows `/scanner/` (the page itself is ''). */
export interface BuiltScanner {
  readonly version: string
  readonly files: ReadonlyMap<string, BuiltFile>
}

const types: Record<string, string> = {
  '': 'text/html; charset=utf-8',
  '.js': 'text/javascript; charset=utf-8',
  '.css': 'text/css; charset=utf-8',
  '.wasm': 'application/wasm',
  '.png': 'image/png',
  '.svg': 'image/svg+xml',
  '.webmanifest': 'application/manifest+json',
}

/** Files that keep their name, with where they lie. */
const icons = ['icon.svg', 'icon-192.png', 'icon-512.png', 'maskable-512.png', 'touch-180.png']

/** The decode worker and its program are asked for under these names, beside the page. */
const workerSource = 'camera/worker.ts'
const workerName = 'decode-worker.js'
const wasmName = 'zxing_reader.wasm'

/**
 * Builds everything; `entry` is the page's script, another one in tests. Throws esbuild's error,
 * which names file and line, when a source does not build.
 */
export async function buildScanner(entry = fileOf('main.tsx')): Promise<BuiltScanner> {
  const files = new Map<string, BuiltFile>()
  const [app, decoder] = await Promise.all([bundleApp(entry), bundleDecoder()])
  for (const [name, bytes] of [...app, ...decoder]) files.set(name, await built(name, bytes))
  for (const icon of icons) {
    files.set(icon, await built(icon, await readFile(fileOf(`icons/${icon}`))))
  }
  files.set('app.webmanifest', await built('app.webmanifest', Buffer.from(manifest())))
  const named = (end: string) => [...app.keys()].filter((name) => name.endsWith(end))
  const page = indexPage({ scripts: named('.js'), styles: named('.css') })
  files.set('', await built('', Buffer.from(page)))
  const version = versionOf(files)
  const worker = await bundleServiceWorker(version, files)
  files.set('sw.js', await built('sw.js', worker))
  return { version, files }
}

const common: BuildOptions = {
  bundle: true,
  write: false,
  minify: true,
  format: 'esm',
  // Safari 16.4 has module workers, wasm and service workers as we use them.
  target: ['es2022', 'chrome100', 'safari16.4', 'firefox115'],
  jsx: 'automatic',
  jsxImportSource: 'preact',
  legalComments: 'none',
  logLevel: 'silent',
}

async function bundleApp(entry: string): Promise<Map<string, Buffer>> {
  const style = fileOf('style.css')
  const { outputFiles = [] } = await build({
    ...common,
    entryPoints: { app: entry, ...(existsSync(style) ? { style } : {}) },
    entryNames: '[name]-[hash]',
    outdir: folder,
    plugins: [withoutLocales],
  })
  return new Map(outputFiles.map((file) => [path.basename(file.path), bufferOf(file)]))
}

/** The decode worker with its program; nothing while there is no camera in the tree. */
async function bundleDecoder(): Promise<Map<string, Buffer>> {
  const source = fileOf(workerSource)
  if (!existsSync(source)) return new Map()
  const { outputFiles = [] } = await build({ ...common, entryPoints: [source], outdir: folder })
  const program = createRequire(import.meta.url).resolve(`zxing-wasm/reader/${wasmName}`)
  const [worker] = outputFiles
  return new Map([
    ...(worker === undefined ? [] : [[workerName, bufferOf(worker)] as const]),
    [wasmName, await readFile(program)],
  ])
}

async function bundleServiceWorker(
  name: string,
  files: ReadonlyMap<string, BuiltFile>,
): Promise<Buffer> {
  const addresses = [...files].map(([file, { sha256 }]) => [`${SCOPE}${file}`, sha256])
  const version = { name, files: Object.fromEntries(addresses) as Record<string, string> }
  const { outputFiles = [] } = await build({
    ...common,
    format: 'iife',
    entryPoints: [fileOf('worker/service-worker.ts')],
    outdir: folder,
    define: { CANEMARK_VERSION: JSON.stringify(version) },
  })
  const [worker] = outputFiles
  if (worker === undefined) throw new Error('assertion failed: a bundle has a file')
  return bufferOf(worker)
}

/** zod's words in sixty languages are half of the app, and nobody here reads any of them. */
const withoutLocales: Plugin = {
  name: 'without zod locales',
  setup({ onResolve, onLoad }) {
    onResolve({ filter: /locales\/index\.js$/ }, ({ path: wanted, importer }) =>
      importer.includes(`${path.sep}zod${path.sep}`)
        ? { path: wanted, namespace: 'no-locales' }
        : undefined,
    )
    onLoad({ filter: /.*/, namespace: 'no-locales' }, () => ({ contents: 'export {}' }))
  },
}

async function built(name: string, bytes: Buffer): Promise<BuiltFile> {
  const type = types[path.extname(name)] ?? 'application/octet-stream'
  const isPacked = /png$/.test(name)
  return {
    type,
    bytes,
    gzip: isPacked ? null : await gzipped(bytes, { level: 9 }),
    sha256: createHash('sha256').update(bytes).digest('hex'),
    isHashed: /-[0-9A-Z]{8}\.(js|css)$/.test(name),
  }
}

function versionOf(files: ReadonlyMap<string, BuiltFile>): string {
  const lines = [...files].map(([name, { sha256 }]) => `${sha256} ${name}\n`).sort()
  return createHash('sha256').update(lines.join('')).digest('hex').slice(0, 16)
}

const bufferOf = ({ contents }: OutputFile) =>
  Buffer.from(contents.buffer, contents.byteOffset, contents.byteLength)
