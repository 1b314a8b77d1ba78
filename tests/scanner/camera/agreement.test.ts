// What the camera may tell: sure reads once, doubtful ones only when confirmed, several as several.
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import {
  AGAIN_FRAMES,
  AGAIN_MS,
  AGREE_WINDOW_MS,
  Agreement,
} from '../../../scanner/camera/agreement.ts'
import type { CameraRead, Sighting } from '../../../scanner/camera/agreement.ts'
import { TOGETHER_ASKED_MS, TOGETHER_MS } from '../../../scanner/camera/agreement.ts'
import { tagAddress } from '#trade/tag-code.ts'
import { exampleCode } from '../../labels/examples.ts'

const A = exampleCode(1)
const B = exampleCode(2)
const firm = (text: string, attempt = 'one'): Sighting => ({ text, attempt, marginal: false })
const dim = (text: string, attempt = 'one'): Sighting => ({ text, attempt, marginal: true })

describe('a single tag', () => {
  it('one firm read of a code with a right check character is told at once', () => {
    expect(new Agreement().take([firm(A)], 0)).toEqual({ kind: 'one', text: A })
  })

  it('a marginal read is told only after another frame agrees', () => {
    const agreement = new Agreement()
    expect(agreement.take([dim(A)], 0)).toBeNull()
    expect(agreement.take([], 100)).toBeNull()
    expect(agreement.take([dim(A)], 200)).toEqual({ kind: 'one', text: A })
  })

  it('a marginal read is told when another attempt on the same frame agrees', () => {
    const reads = [dim(A, 'blurred'), dim(A, 'sharpened')]
    expect(new Agreement().take(reads, 0)).toEqual({ kind: 'one', text: A })
  })

  it('two marginal reads too far apart in time do not confirm one another', () => {
    const agreement = new Agreement()
    agreement.take([dim(A)], 0)
    expect(agreement.take([dim(A)], AGREE_WINDOW_MS + 1)).toBeNull()
  })

  it('a tag held in view is told once, and again after it was out of view', () => {
    const agreement = new Agreement()
    expect(agreement.take([firm(A)], 0)).not.toBeNull()
    for (let atMs = 100; atMs <= 5_000; atMs += 100) {
      expect(agreement.take([firm(A)], atMs)).toBeNull()
    }
    const miss = (fromMs: number, count: number) => {
      for (let nr = 0; nr < count; nr += 1) agreement.take([], fromMs + nr)
    }
    miss(5_100, AGAIN_FRAMES)
    expect(agreement.take([firm(A)], 5_100 + AGAIN_MS)).toBeNull()
    miss(8_000, AGAIN_FRAMES - 1)
    expect(agreement.take([firm(A)], 9_999)).toBeNull()
    miss(10_000, AGAIN_FRAMES)
    expect(agreement.take([firm(A)], 10_000 + AGAIN_MS + 1)).toEqual({ kind: 'one', text: A })
  })

  it('frames that lie far apart, as on a slow phone, make no second read', () => {
    const agreement = new Agreement()
    expect(agreement.take([firm(A)], 0)).not.toBeNull()
    expect(agreement.take([firm(A)], 10 * AGAIN_MS)).toBeNull()
  })

  it('a tag still in view is told once more after the screen asked for it', () => {
    const agreement = new Agreement()
    agreement.take([firm(A)], 0)
    agreement.again()
    expect(agreement.take([firm(A)], 100)).toEqual({ kind: 'one', text: A })
  })

  it('a code and its address are the same thing, not two tags', () => {
    const address = tagAddress('tags.valdorena.example', A)
    const read = new Agreement().take([firm(A), firm(address)], 0)
    expect(read?.kind).toBe('one')
  })
})

describe('several tags', () => {
  it('two tags in one frame are told together', () => {
    const read = new Agreement().take([firm(B), firm(A)], 0)
    expect(read).toEqual({ kind: 'several', texts: [A, B].sort() })
  })

  it('two tags read in neighbouring frames are told together', () => {
    const agreement = new Agreement()
    agreement.take([firm(A)], 0)
    const read = agreement.take([firm(B)], TOGETHER_MS)
    expect(read).toEqual({ kind: 'several', texts: [A, B].sort() })
  })

  it('a tag scanned after another has left the view is told alone', () => {
    const agreement = new Agreement()
    agreement.take([firm(A)], 0)
    expect(agreement.take([firm(B)], TOGETHER_MS + 1)).toEqual({ kind: 'one', text: B })
  })

  it('while another tag is seen dimly, nothing is told', () => {
    const agreement = new Agreement()
    expect(agreement.take([firm(A), dim(B)], 0)).toBeNull()
    expect(agreement.take([firm(A), dim(B)], 100)?.kind).toBe('several')
  })

  it('a dim sight that is never confirmed does not hold the sure tag back for ever', () => {
    const agreement = new Agreement()
    agreement.take([firm(A), dim(B)], 0)
    const read = agreement.take([firm(A)], TOGETHER_ASKED_MS + 1)
    expect(read).toEqual({ kind: 'one', text: A })
  })

  it('after two were told, one that drops out for a moment is no choice of the other', () => {
    const agreement = new Agreement()
    agreement.take([firm(A), firm(B)], 0)
    for (let atMs = 100; atMs <= TOGETHER_ASKED_MS; atMs += 100) {
      expect(agreement.take([firm(A)], atMs)).toBeNull()
    }
    expect(agreement.take([firm(A)], TOGETHER_ASKED_MS + 100)).toEqual({ kind: 'one', text: A })
  })
})

describe('foreign texts', () => {
  const wifi = 'WIFI:S:Cellar;T:WPA;P:secret;;'

  it('a foreign text is told only after two frames agree, and then once', () => {
    const agreement = new Agreement()
    expect(agreement.take([firm(wifi, 'one'), firm(wifi, 'two')], 0)).toBeNull()
    expect(agreement.take([firm(wifi)], 100)).toEqual({ kind: 'one', text: wifi })
    expect(agreement.take([firm(wifi)], 200)).toBeNull()
  })

  it('a code with a wrong check character is never told from one read', () => {
    const damaged = A.slice(0, 10) + (A.endsWith('7') ? '8' : '7')
    const agreement = new Agreement()
    expect(agreement.take([firm(damaged)], 0)).toBeNull()
    expect(agreement.take([firm(A)], 100)).toEqual({ kind: 'one', text: A })
  })

  it('an empty text, as a ruined symbol may give, is never told', () => {
    const agreement = new Agreement()
    expect([0, 100, 200].map((atMs) => agreement.take([firm(''), firm(' ')], atMs))).toEqual([
      null,
      null,
      null,
    ])
  })

  it('a tag beside a foreign symbol is told alone', () => {
    const agreement = new Agreement()
    agreement.take([firm(wifi)], 0)
    expect(agreement.take([firm(wifi), firm(A)], 100)).toEqual({ kind: 'one', text: A })
  })
})

describe('a handover', () => {
  const handover = 'CANEMARK-HANDOVER-1:0:0:0:S:40'

  it('a handover is told after two frames agree', () => {
    const agreement = new Agreement()
    expect(agreement.take([firm(handover)], 0)).toBeNull()
    expect(agreement.take([firm(handover)], 100)).toEqual({ kind: 'one', text: handover })
  })

  it('with a tag in view as well, neither is chosen', () => {
    const agreement = new Agreement()
    expect(agreement.take([firm(handover), firm(A)], 0)).toBeNull()
    const read = agreement.take([firm(handover), firm(A)], 100)
    expect(read).toEqual({ kind: 'several', texts: [A, handover].sort() })
  })
})

describe('the rule of agreement', () => {
  const texts = [A, B, exampleCode(3), 'https://elsewhere.example/', A.toLowerCase()]
  const sighting = fc.record({
    text: fc.constantFrom(...texts),
    attempt: fc.constantFrom('one', 'two', 'three'),
    marginal: fc.boolean(),
  })
  const film = fc.array(
    fc.record({
      gapMs: fc.integer({ min: 0, max: 2_500 }),
      sightings: fc.array(sighting, { maxLength: 4 }),
    }),
    { maxLength: 40 },
  )
  type Frame = { gapMs: number; sightings: Sighting[] }

  const play = (frames: Frame[], each: (read: CameraRead | null, at: number) => void) => {
    const agreement = new Agreement()
    let nowMs = 0
    frames.forEach((frame, at) => {
      nowMs += frame.gapMs
      each(agreement.take(frame.sightings, nowMs), at)
    })
  }
  const toldTexts = (read: CameraRead | null) =>
    read === null ? [] : read.kind === 'one' ? [read.text] : read.texts

  it('nothing is ever told that was not seen', () => {
    fc.assert(
      fc.property(film, (frames) => {
        play(frames, (read, at) => {
          const seen = frames.slice(0, at + 1).flatMap(({ sightings }) => sightings)
          for (const text of toldTexts(read)) {
            expect(seen.map((one) => one.text)).toContain(text)
          }
        })
      }),
    )
  })

  it('whatever is told had one firm read as a tag, or two agreeing reads', () => {
    fc.assert(
      fc.property(film, (frames) => {
        play(frames, (read, at) => {
          const seen = frames
            .slice(0, at + 1)
            .flatMap(({ sightings }, frame) => sightings.map((one) => ({ ...one, frame })))
          for (const text of toldTexts(read)) {
            const reads = seen.filter((one) => one.text === text)
            const isFirmTag = [A, B, texts[2]].includes(text) && reads.some((one) => !one.marginal)
            const places = new Set(reads.map(({ frame, attempt }) => `${frame} ${attempt}`))
            expect(isFirmTag || places.size >= 2).toBe(true)
          }
        })
      }),
    )
  })

  it('two tags firmly read in one frame are never told as one of them', () => {
    fc.assert(
      fc.property(film, (frames) => {
        play(frames, (read, at) => {
          const firmTags = new Set(
            frames[at]?.sightings
              .filter(({ text, marginal }) => !marginal && [A, B].includes(text))
              .map(({ text }) => text),
          )
          if (firmTags.size === 2) expect(read?.kind).not.toBe('one')
        })
      }),
    )
  })
})
