// The short form of the decoding bench: one sequence of each fault, ours beside single decoders.
import { openDecoders } from '../scanner/frames/frame-decoders.ts'
import { FAULTS } from '../scanner/frames/faults.ts'
import { contenders, tally } from './decoding-run.ts'
import type { Tally } from './decoding-run.ts'
import { totals } from './decoding-tables.ts'

/** The level at which decoders part: most faults are neither easy nor hopeless there. */
const LEVEL = 3
const FRAMES = 2

/** Prints sequences read and processor time a frame of 1280 × 720, and the ratio of times. */
export async function benchDecoding(): Promise<void> {
  const compared = ['schedule', 'zxing-wasm', '@zxing/library', 'jsQR']
  const all = contenders(await openDecoders()).filter(({ name }) => compared.includes(name))
  const tallies: Tally[] = []
  for (const fault of FAULTS)
    tallies.push(...(await tally(all, { fault, level: LEVEL }, 1, FRAMES)))
  const [ours, ...others] = totals(tallies)
  if (ours === undefined) throw new Error('assertion failed: the schedule was measured')
  const ourMs = ours.processorMs / ours.frames
  console.log(
    `decoding, ${ours.sequences} faults at level ${LEVEL}: schedule reads ${ours.readAtAll}, ` +
      `${ourMs.toFixed(0)} ms a frame, misreads ${ours.misreads}`,
  )
  for (const { name, readAtAll, processorMs, frames, misreads } of others) {
    const ms = processorMs / frames
    console.log(
      `  ${name} reads ${readAtAll}, ${ms.toFixed(0)} ms a frame, ` +
        `ratio ${(ourMs / ms).toFixed(2)}, misreads ${misreads}`,
    )
  }
}
