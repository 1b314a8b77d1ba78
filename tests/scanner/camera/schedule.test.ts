// The schedule reads at least what any decoder alone reads, and never a wrong code.
import jsqr from 'jsqr'
import { beforeAll, describe, expect, it } from 'vitest'
import { Agreement } from '../../../scanner/camera/agreement.ts'
import type { CameraRead } from '../../../scanner/camera/agreement.ts'
import type { Decoders, Seen } from '../../../scanner/camera/decoders.ts'
import { newPicture, rgbaOfGrey } from '../../../scanner/camera/picture.ts'
import type { Picture } from '../../../scanner/camera/picture.ts'
import { Schedule } from '../../../scanner/camera/schedule.ts'
import { exampleCode } from '../../labels/examples.ts'
import { seeded } from '../../sim/entry-writer.ts'
import { CLEAN, FAULTS } from '../frames/faults.ts'
import { openDecoders } from '../frames/frame-decoders.ts'
import { film, makeSequence, newTag } from '../frames/sequence.ts'
import { paintForeign } from '../frames/tag-texture.ts'

const size = { width: 800, height: 450 }

let decoders: Decoders
beforeAll(async () => {
  decoders = await openDecoders()
})

/** Each look at this clock takes 15 ms: how many attempts fit does not hang on the machine. */
function countedClock(): () => number {
  let nowMs = 0
  return () => (nowMs += 15)
}

/** What the screen is told of each frame. */
async function told(
  frames: readonly Picture[],
  schedule = new Schedule(decoders, { clock: countedClock() }),
): Promise<(CameraRead | null)[]> {
  const agreement = new Agreement()
  const reads: (CameraRead | null)[] = []
  for (const [at, frame] of frames.entries()) {
    reads.push(agreement.take(await schedule.look(frame), at * 150))
  }
  return reads
}

const textsOf = (read: CameraRead | null) =>
  read === null ? [] : read.kind === 'one' ? [read.text] : [...read.texts]

/** Each decoder alone, once a frame. */
const alone = {
  wasm: async (frame: Picture) => {
    return (await decoders.wasm(frame, { binarizer: 'local' })).map(({ text }) => text)
  },
  library: async (frame: Picture) => {
    return Promise.resolve(decoders.library(frame, 'local').map(({ text }) => text))
  },
  jsqr: (frame: Picture) => {
    const found = jsqr.default(rgbaOfGrey(frame), frame.width, frame.height)
    return Promise.resolve(found === null ? [] : [found.data])
  },
}

describe('over one sequence of each fault', () => {
  it('reads at least as many as each decoder alone, and no wrong code', async () => {
    const readBy = { schedule: 0, wasm: 0, library: 0, jsqr: 0 }
    for (const fault of FAULTS) {
      const order = { fault, level: 3, nr: FAULTS.indexOf(fault) % 3, frameCount: 2, ...size }
      const { frames, payloads } = makeSequence(order)
      const texts = (await told(frames)).flatMap(textsOf)
      for (const text of texts) expect(payloads).toContain(text)
      const isRead = (list: readonly string[]) => list.some((text) => payloads.includes(text))
      readBy.schedule += Number(isRead(texts))
      for (const name of ['wasm', 'library', 'jsqr'] as const) {
        const seen = await Promise.all(frames.map((frame) => alone[name](frame)))
        readBy[name] += Number(isRead(seen.flat()))
      }
    }
    expect(readBy.schedule).toBeGreaterThanOrEqual(readBy.wasm)
    expect(readBy.schedule).toBeGreaterThanOrEqual(readBy.library)
    expect(readBy.schedule).toBeGreaterThanOrEqual(readBy.jsqr)
    expect(readBy.schedule).toBeGreaterThan(FAULTS.length / 2)
  }, 240_000)
})

describe('two tags in view', () => {
  it('both are told, whether of one size or of two', async () => {
    for (const level of [1, 3]) {
      const order = { fault: 'neighbour', level, nr: 0, frameCount: 1, width: 1280, height: 720 }
      const { frames, payloads } = makeSequence({ ...order, fault: 'neighbour' })
      const [read] = await told(frames)
      expect(read).toEqual({ kind: 'several', texts: [...payloads].sort() })
    }
  })

  it('both are told even where only the one-symbol decoder works', async () => {
    const order = { level: 1, nr: 0, frameCount: 4, width: 1280, height: 720 } as const
    const { frames, payloads } = makeSequence({ ...order, fault: 'neighbour' })
    const withoutWasm = { ...decoders, wasm: () => Promise.resolve([]) }
    const schedule = new Schedule(withoutWasm, { clock: countedClock() })
    const reads = (await told(frames, schedule)).filter((read) => read !== null)
    expect(reads.map(({ kind }) => kind)).not.toContain('one')
    expect(reads).toContainEqual({ kind: 'several', texts: [...payloads].sort() })
  })
})

describe('what is no tag of ours', () => {
  it('a foreign symbol is told as its text from the second frame, and once', async () => {
    const wifi = 'WIFI:S:Cellar;T:WPA;P:secret;;'
    const { frames } = film(paintForeign(wifi), null, CLEAN, { ...size, frameCount: 4 }, seeded(3))
    const reads = await told(frames)
    expect(reads).toEqual([null, { kind: 'one', text: wifi }, null, null])
  })

  it('a code with a wrong check character is never told at the first sight', async () => {
    const code = exampleCode(9)
    const damaged = code.slice(0, 10) + (code.endsWith('3') ? '4' : '3')
    const order = { ...size, frameCount: 3 }
    const { frames } = film(paintForeign(damaged), null, CLEAN, order, seeded(4))
    expect(await told(frames)).toEqual([null, { kind: 'one', text: damaged }, null])
  })

  it('a tag beside a foreign symbol is told alone', async () => {
    const tag = newTag(0, seeded(5))
    const beside = { ...CLEAN, neighbour: 0.8 }
    const order = { width: 1280, height: 720, frameCount: 2 }
    const { frames } = film(tag, paintForeign('https://x.example/'), beside, order, seeded(5))
    expect((await told(frames)).flatMap(textsOf)).toEqual([tag.payload])
  })

  it('an empty picture, and one smaller than a symbol, is told as nothing', async () => {
    expect(await told([newPicture(960, 540), newPicture(8, 8), newPicture(1, 1)])).toEqual([
      null,
      null,
      null,
    ])
  })
})

describe('the time of a frame', () => {
  const never = (): Decoders & { asked: number } => {
    const counts = {
      asked: 0,
      library: (): Seen[] => ((counts.asked += 1), []),
      wasm: (): Promise<Seen[]> => ((counts.asked += 1), Promise.resolve([])),
      browser: null,
    }
    return counts
  }
  const bark = () => makeSequence({ fault: 'noise', level: 1, nr: 0, frameCount: 1, ...size })

  it('attempts stop when the budget is used up, yet each frame has one of the ring', async () => {
    const { frames } = bark()
    const [frame] = frames
    if (frame === undefined) throw new Error('a sequence has a frame')
    for (const [budgetMs, most] of [
      [0, 2],
      [140, 8],
    ] as const) {
      const counting = never()
      const schedule = new Schedule(counting, { clock: countedClock(), budgetMs })
      await schedule.look(frame)
      expect(counting.asked).toBeGreaterThanOrEqual(2)
      expect(counting.asked).toBeLessThanOrEqual(most)
    }
  })

  it('successive frames get different attempts, until all had their turn', async () => {
    const names: string[] = []
    const attempts = ['a', 'b', 'c'].map((name) => ({
      ...{ name, marginal: false, everyFrame: false },
      look: () => Promise.resolve((names.push(name), [])),
    }))
    const schedule = new Schedule(never(), { clock: countedClock(), budgetMs: 0, attempts })
    for (let nr = 0; nr < 4; nr += 1) await schedule.look(newPicture(32, 32))
    expect(names).toEqual(['a', 'b', 'c', 'a'])
  })

  it("a browser's detector that fails is not asked again, and the others go on", async () => {
    let asked = 0
    const browser = () => ((asked += 1), Promise.reject(new Error('no service')))
    const schedule = new Schedule({ ...decoders, browser }, { clock: countedClock() })
    const order = { fault: 'resolution', level: 1, nr: 0, frameCount: 2, ...size } as const
    const { frames, payloads } = makeSequence(order)
    expect((await told(frames, schedule)).flatMap(textsOf)).toEqual(payloads)
    expect(asked).toBe(1)
  })
})
