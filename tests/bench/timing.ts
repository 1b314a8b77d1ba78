// Measures two ways of doing one thing in turn, in one run, and prints their ratio.
import { performance } from 'node:perf_hooks'

/** Runs `run` several times and returns the median, in milliseconds. */
export async function medianMs(times: number, run: () => Promise<unknown>): Promise<number> {
  const taken: number[] = []
  for (let nr = 0; nr < times; nr += 1) {
    const started = performance.now()
    await run()
    taken.push(performance.now() - started)
  }
  taken.sort((a, b) => a - b)
  return taken[Math.floor(taken.length / 2)] ?? 0
}

/** One line: what was measured, ours, the other way, and ours divided by the other. */
export function printRatio(what: string, ourMs: number, otherMs: number, other: string): void {
  const ratio = (ourMs / otherMs).toFixed(2)
  console.log(
    `${what.padEnd(52)} ${ourMs.toFixed(1).padStart(9)} ms  ` +
      `${other} ${otherMs.toFixed(1).padStart(9)} ms  ratio ${ratio}`,
  )
}
