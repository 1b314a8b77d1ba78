// The decoders as Node has them: zxing-wasm from its package, no detector of a browser.
import { readFileSync } from 'node:fs'
import { createRequire } from 'node:module'
import { prepareZXingModule } from 'zxing-wasm/reader'
import { readWithLibrary, readWithWasm } from '../../../scanner/camera/decoders.ts'
import type { Decoders } from '../../../scanner/camera/decoders.ts'

/** Starts zxing-wasm without any network. */
export async function openDecoders(): Promise<Decoders> {
  const require = createRequire(import.meta.url)
  const program = readFileSync(require.resolve('zxing-wasm/reader/zxing_reader.wasm'))
  await prepareZXingModule({
    overrides: { wasmBinary: new Uint8Array(program).buffer },
    fireImmediately: true,
  })
  return { library: readWithLibrary, wasm: readWithWasm, browser: null }
}
