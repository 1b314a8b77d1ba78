// Lets our schedule and every single decoder read the same generated frames, and counts.
import jsqr from 'jsqr'
import { BinaryBitmap, HybridBinarizer, QRCodeReader, RGBLuminanceSource } from '@zxing/library'
import { Agreement } from '../../scanner/camera/agreement.ts'
import { ATTEMPTS } from '../../scanner/camera/attempts.ts'
import type { Decoders } from '../../scanner/camera/decoders.ts'
import { rgbaOfGrey } from '../../scanner/camera/picture.ts'
import type { Picture } from '../../scanner/camera/picture.ts'
import { Schedule } from '../../scanner/camera/schedule.ts'
import { Views } from '../../scanner/camera/views.ts'
import { LEVELS } from '../scanner/frames/faults.ts'
import type { Fault } from '../scanner/frames/faults.ts'
import { makeSequence } from '../scanner/frames/sequence.ts'

/** Time between two frames that a schedule gets, in ms: its budget and the taking of the frame. */
const FRAME_STEP_MS = 150

/** A way of reading that is measured: a fresh one for each sequence. */
export interface Contender {
  readonly name: string
  /** Only on the first frame of a sequence, as it takes long. */
  readonly onceOnly: boolean
  readonly begin: () => (frame: Picture) => Promise<string[]>
}

/** What one contender did on one fault at one level. */
export interface Tally {
  readonly name: string
  readonly fault: Fault
  readonly level: number
  sequences: number
  /** Sequences read on the first frame, and on any. */
  readOnFirst: number
  readAtAll: number
  /** Sum of the frames up to the first read, over sequences that were read. */
  framesToRead: number
  /** Texts that no tag in view holds. */
  misreads: number
  /** Sequences with two tags of which it told one alone. */
  toldOneOfTwo: number
  frames: number
  processorMs: number
}

/** Processor time of this process in ms: other work on the machine does not count. */
export function processorMs(): number {
  const { user, system } = process.cpuUsage()
  return (user + system) / 1000
}

export function contenders(decoders: Decoders): Contender[] {
  const single = (name: string, read: (frame: Picture) => string[] | Promise<string[]>) => ({
    ...{ name, onceOnly: false },
    begin: () => async (frame: Picture) => await read(frame),
  })
  const attempts = ATTEMPTS.filter(({ everyFrame }) => !everyFrame).map((attempt) => ({
    ...single(attempt.name, async (frame) => {
      return (await attempt.look(new Views(frame), decoders)).map(({ text }) => text)
    }),
    onceOnly: true,
  }))
  return [
    { name: 'schedule', onceOnly: false, begin: () => scheduleReader(decoders) },
    single('@zxing/library', readOnce),
    single('zxing-wasm', async (frame) => {
      return (await decoders.wasm(frame, { binarizer: 'local' })).map(({ text }) => text)
    }),
    { ...single('jsQR', readWithJsqr), onceOnly: true },
    ...attempts,
  ]
}

/** Runs every contender over `sequenceCount` sequences of one fault and level. */
export async function tally(
  all: readonly Contender[],
  { fault, level }: { fault: Fault; level: number },
  sequenceCount: number,
  frameCount: number,
): Promise<Tally[]> {
  const tallies = all.map(({ name }) => newTally(name, fault, level))
  for (let nr = 0; nr < sequenceCount; nr += 1) {
    const size = { width: 1280, height: 720 }
    const { frames, payloads } = makeSequence({ fault, level, nr, frameCount, ...size })
    for (const [at, contender] of all.entries()) {
      const counts = tallies[at]
      if (counts !== undefined) await readSequence(contender, counts, frames, payloads)
    }
  }
  return tallies
}

function newTally(name: string, fault: Fault, level: number): Tally {
  const none = { sequences: 0, readOnFirst: 0, readAtAll: 0, framesToRead: 0, misreads: 0 }
  return { name, fault, level, ...none, toldOneOfTwo: 0, frames: 0, processorMs: 0 }
}

async function readSequence(
  { onceOnly, begin }: Contender,
  counts: Tally,
  frames: readonly Picture[],
  payloads: readonly string[],
): Promise<void> {
  counts.sequences += 1
  const read = begin()
  for (const [at, frame] of frames.slice(0, onceOnly ? 1 : frames.length).entries()) {
    const begunMs = processorMs()
    const texts = new Set(await read(frame))
    counts.processorMs += processorMs() - begunMs
    counts.frames += 1
    const right = payloads.filter((payload) => texts.has(payload))
    counts.misreads += texts.size - right.length
    if (right.length === 0) continue
    counts.readAtAll += 1
    counts.framesToRead += at + 1
    if (at === 0) counts.readOnFirst += 1
    if (payloads.length > 1 && right.length === 1) counts.toldOneOfTwo += 1
    return
  }
}

/** Our own way from frame to screen: schedule, then agreement. */
function scheduleReader(decoders: Decoders): (frame: Picture) => Promise<string[]> {
  const schedule = new Schedule(decoders, { clock: processorMs })
  const agreement = new Agreement()
  let nowMs = 0
  return async (frame) => {
    nowMs += FRAME_STEP_MS
    const read = agreement.take(await schedule.look(frame), nowMs)
    if (read === null) return []
    return read.kind === 'one' ? [read.text] : [...read.texts]
  }
}

const reader = new QRCodeReader()

/** @zxing/library as its documentation shows it: once, no hints. */
function readOnce({ grey, width, height }: Picture): string[] {
  const source = new RGBLuminanceSource(grey, width, height)
  try {
    return [reader.decode(new BinaryBitmap(new HybridBinarizer(source))).getText()]
  } catch {
    // It throws for every picture in which it finds nothing.
    return []
  }
}

function readWithJsqr(frame: Picture): string[] {
  // The package is CommonJS with its function as `default`.
  const found = jsqr.default(rgbaOfGrey(frame), frame.width, frame.height)
  return found === null ? [] : [found.data]
}

/** Every level of a fault, from 1. */
export const ALL_LEVELS = Array.from({ length: LEVELS }, (_, nr) => nr + 1)
