// The names and texts of the files by which checkpoints, keys and stamps leave the house.
import type { KnownKey } from './checkpoint-keys.ts'
import type { SignedCheckpoint } from './checkpoints.ts'
import { keyText } from './note.ts'

/** The name of a checkpoint's file: sorts by size, and tells the key. */
export function checkpointFileName(checkpoint: Named): string {
  return `${nameOf(checkpoint)}.txt`
}

/** The name of the answer that stamps it; `openssl ts` calls such files `.tsr`. */
export function stampFileName(stamp: Named): string {
  return `${nameOf(stamp)}.tsr`
}

/** All keys as people hand them on, the oldest first, each with the note that names it. */
export function keysText(keys: readonly KnownKey[]): string {
  return keys.map((key) => `${keyText(key)}\n${key.succession ?? ''}`).join('\n')
}

type Named = Pick<SignedCheckpoint, 'size' | 'keyNumber'>

function nameOf({ size, keyNumber }: Named): string {
  return `checkpoint-${String(size).padStart(12, '0')}-key${keyNumber}`
}
