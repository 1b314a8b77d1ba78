// The text of a checkpoint by C2SP tlog-checkpoint: whose journal, how many entries, which root.
import { HASH_BYTES } from './merkle.ts'

/** What a checkpoint states. */
export type Checkpoint = { origin: string; size: number; root: Buffer }

/** Its text: three lines, each ended by a line feed. */
export function checkpointText({ origin, size, root }: Checkpoint): string {
  return `${origin}\n${size}\n${root.toString('base64')}\n`
}

/** Reads the text; throws an Error that says what is wrong. Further lines are allowed. */
export function readCheckpoint(text: string): Checkpoint {
  const [origin = '', size = '', encoded = '', ...more] = text.split('\n')
  if (more.pop() !== '' || more.includes('')) throw new Error('this is no checkpoint')
  if (origin === '') throw new Error('the checkpoint names no journal')
  if (!/^(0|[1-9]\d{0,14})$/.test(size)) throw new Error('the checkpoint names no size')
  const root = Buffer.from(encoded, 'base64')
  if (root.length !== HASH_BYTES || root.toString('base64') !== encoded) {
    throw new Error('the checkpoint holds no root of 32 bytes')
  }
  return { origin, size: Number(size), root }
}
