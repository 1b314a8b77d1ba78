// `npx tsx tests/bench/decoding.ts`: reading rates beside single decoders, written to docs/.
import { readFileSync, writeFileSync } from 'node:fs'
import { openDecoders } from '../scanner/frames/frame-decoders.ts'
import { FAULTS } from '../scanner/frames/faults.ts'
import { ALL_LEVELS, contenders, tally } from './decoding-run.ts'
import type { Tally } from './decoding-run.ts'
import { attemptTable, faultTable, levelTable, neighbourLine, totals } from './decoding-tables.ts'

const SEQUENCES = 3
const FRAMES = 3
const documentFile = new URL('../../docs/decoding.md', import.meta.url)
const [begin, end] = ['<!-- measured: begin -->', '<!-- measured: end -->']

const all = contenders(await openDecoders())
const tallies: Tally[] = []
for (const fault of FAULTS) {
  for (const level of ALL_LEVELS) {
    tallies.push(...(await tally(all, { fault, level }, SEQUENCES, FRAMES)))
  }
  console.log(fault, totals(tallies.filter((one) => one.fault === fault)).slice(0, 3))
}
const measured = [
  begin,
  [
    'Measured by `npx tsx tests/bench/decoding.ts`',
    `on Node ${process.version.slice(1)}, one thread of a rented server that was also doing other`,
    `work: ${FAULTS.length} faults, ${ALL_LEVELS.length} levels, ${SEQUENCES} sequences each,`,
    `up to ${FRAMES} frames of 1280 × 720. Times are processor time.`,
  ].join(' '),
  faultTable(tallies, FRAMES),
  neighbourLine(tallies),
  levelTable(tallies),
  attemptTable(tallies),
  end,
].join('\n\n')
const text = readFileSync(documentFile, 'utf8')
const [before, after] = [text.indexOf(begin), text.indexOf(end)]
if (before < 0 || after < 0) throw new Error(`${documentFile.pathname} has no place for the tables`)
writeFileSync(documentFile, text.slice(0, before) + measured + text.slice(after + end.length))
