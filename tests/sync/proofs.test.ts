// Whoever kept a checkpoint can prove from outside that the journal only grew since.
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import type { z } from 'zod'
import { newApp } from '../../api/app.ts'
import { readCheckpoint } from '../../api/journal/checkpoint.ts'
import { makeCheckpoint } from '../../api/journal/checkpoints.ts'
import { leafHash } from '../../api/journal/canonical.ts'
import { checkConsistency, checkInclusion } from '../../api/journal/merkle.ts'
import { openNote, readKeyText, signersOf } from '../../api/journal/note.ts'
import type { ApiCheckpoint, ApiConsistencyProof, ApiInclusionProof } from '#wire/api-proofs.ts'
import { newSigner } from '../journal/new-signer.ts'
import { blockEntry, deviceApp } from './device-app.ts'
import type { DeviceApp } from './device-app.ts'

let api: DeviceApp
/** The notes that somebody outside kept, the oldest first. */
const kept: z.infer<typeof ApiCheckpoint>[] = []

beforeAll(async () => {
  api = await deviceApp()
  const signer = await newSigner(api.services.db)
  for (const count of [1, 6, 30]) {
    await api.push(Array.from({ length: count }, () => blockEntry(api.device)))
    await makeCheckpoint(api.services.db, signer, new Date('2027-02-01T08:00:00Z'))
    kept.push(await read<typeof ApiCheckpoint>('/api/checkpoint'))
  }
})
afterAll(() => api.drop())

async function read<S extends z.ZodType>(path: string): Promise<z.infer<S>> {
  const response = await api.get(path)
  if (response.status !== 200) throw new Error(`${response.status} ${await response.text()}`)
  return (await response.json()) as z.infer<S>
}

const bytes = (text: string) => Buffer.from(text, 'base64')

describe('a checkpoint read from outside', () => {
  it('is the signed note, byte for byte, by a key that is told', () => {
    expect(kept.map(({ size }) => size)).toEqual([1, 7, 37])
    for (const { note, size, root, keys } of kept) {
      const opened = openNote(note)
      expect(
        signersOf(
          opened,
          keys.map(({ key }) => readKeyText(key)),
        ),
      ).toHaveLength(1)
      expect(readCheckpoint(opened.text)).toMatchObject({ size, root: bytes(root) })
    }
  })

  it('is extended by every later one, by the proof that is given', async () => {
    for (const [nr, earlier] of kept.entries()) {
      for (const later of kept.slice(nr)) {
        const path = `/api/proofs/consistency/${earlier.size}/${later.size}`
        const told = await read<typeof ApiConsistencyProof>(path)
        const claim = {
          before: earlier.size,
          beforeRoot: bytes(earlier.root),
          size: later.size,
          root: bytes(later.root),
          proof: told.hashes.map(bytes),
        }
        expect(checkConsistency(claim)).toEqual({ ok: true })
        const other = { ...claim, beforeRoot: leafHash(Buffer.from('another journal')) }
        expect(checkConsistency(other)).toMatchObject({ ok: false })
      }
    }
  })

  it('covers each entry, as the journal gives it, by the proof that is given', async () => {
    const lines = await api.get('/api/journal?from=0&limit=100', api.device, 'application/x-ndjson')
    const entries = (await lines.text()).trimEnd().split('\n')
    expect(entries).toHaveLength(37)
    for (const { size, root } of kept) {
      for (const index of [0, Math.floor(size / 2), size - 1]) {
        const path = `/api/proofs/inclusion/${index}/${size}`
        const told = await read<typeof ApiInclusionProof>(path)
        const entry = entries[index]?.split(',"entry":').slice(1).join(',"entry":').slice(0, -1)
        const leaf = leafHash(Buffer.from(entry ?? ''))
        const proof = told.hashes.map(bytes)
        expect(checkInclusion({ index, size, leaf, proof, root: bytes(root) })).toEqual({
          ok: true,
        })
      }
    }
  })
})

it.each([
  ['proofs/inclusion/0/38', 'beyond_journal', /holds 37 entries, not 38/],
  ['proofs/inclusion/7/7', 'beyond_journal', /entry 7 is not among the first 7/],
  ['proofs/consistency/8/7', 'beyond_journal', /give the smaller size first/],
  ['proofs/consistency/1/9000000', 'beyond_journal', /holds 37 entries/],
])('%s does not exist, and the answer says why', async (path, code, detail) => {
  const answer = await api.get(`/api/${path}`)
  expect(answer.status).toBe(404)
  expect(await answer.json()).toMatchObject({
    code,
    detail: expect.stringMatching(detail) as string,
  })
})

it.each(['proofs/consistency/0/7', 'proofs/inclusion/-1/7', 'proofs/inclusion/1/0'])(
  'a size or index that is none is refused: %s',
  async (path) => {
    const answer = await api.get(`/api/${path}`)
    expect(answer.status).toBe(400)
    expect(await answer.json()).toMatchObject({ code: 'bad_parameter' })
  },
)

it('nobody reads a proof without being known', async () => {
  const stranger = newApp(api.services, async () => null)
  for (const path of ['checkpoint', 'proofs/inclusion/0/7', 'proofs/consistency/1/7']) {
    expect((await stranger.request(`/api/${path}`)).status).toBe(401)
  }
})

it('where nothing was signed yet, that is said', async () => {
  const empty = await deviceApp()
  try {
    const answer = await empty.get('/api/checkpoint')
    expect(answer.status).toBe(404)
    expect(await answer.json()).toMatchObject({ code: 'no_checkpoint' })
  } finally {
    await empty.drop()
  }
})
