// Whatever happened in between, changes laid into an old snapshot make the very same as a new one.
import fc from 'fast-check'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { ingest } from '../../../api/journal/ingest.ts'
import { SNAPSHOT_VERSION } from '#wire/api-snapshot.ts'
import type { Entry } from '#wire/entry.ts'
import { fetchSnapshot } from '../../../scanner/snapshot/fetch.ts'
import { withFetched } from '../../../scanner/snapshot/known.ts'
import type { Known } from '../../../scanner/snapshot/known.ts'
import { randomSeason, seeded } from '../../sim/season.ts'
import { troubledSeason } from '../../sim/troubled-season.ts'
import { deviceApp } from '../../sync/device-app.ts'
import type { DeviceApp } from '../../sync/device-app.ts'

let api: DeviceApp
/** How many bytes of text were fetched. */
let fetchedBytes = 0

beforeAll(async () => {
  api = await deviceApp(new Date('2027-02-20T08:00:00Z'))
})
afterAll(() => api.drop())

async function get(target: string): Promise<string> {
  const answer = await api.get(target)
  const text = await answer.text()
  if (answer.status !== 200) throw new Error(`${answer.status} ${text}`)
  fetchedBytes += text.length
  return text
}

async function fetched(known: Known | null): Promise<Known> {
  const after = withFetched(known, await fetchSnapshot(get, known))
  if (after === null) throw new Error('the answer could not be used')
  return after
}

/** In steps of uneven size, each by its own device. */
async function sendSome(entries: Entry[]): Promise<void> {
  for (const entry of entries) await ingest(api.services.db, entry.device, [entry])
}

const sorted = <T>(map: ReadonlyMap<string, T>) =>
  [...map].sort(([one], [other]) => (one < other ? -1 : 1))

const plain = (known: Known) => ({
  head: known.head,
  lots: sorted(known.lots),
  codes: sorted(known.codes),
  blocks: sorted(known.blocks),
})

describe('a snapshot with changes laid into it', () => {
  it.each([
    ['an ordinary season', randomSeason],
    ['a season in which everything goes wrong', troubledSeason],
  ])(
    'is the same as a whole new one, after any step of %s',
    async (_, write) => {
      await fc.assert(
        fc.asyncProperty(fc.integer({ min: 1, max: 1_000_000 }), async (seed) => {
          const entries = write(seed, 150)
          const random = seeded(seed)
          let known = await fetched(null)
          let isOnlyChanges = 0
          while (entries.length > 0) {
            await sendSome(entries.splice(0, 1 + Math.floor(random() * 25)))
            const answer = await fetchSnapshot(get, known)
            if (!answer.snapshot.whole) isOnlyChanges += 1
            const after = withFetched(known, answer)
            if (after === null) throw new Error('the answer could not be used')
            known = after
            expect(plain(known)).toEqual(plain(await fetched(null)))
          }
          expect(known.lots.size).toBeGreaterThan(5)
          expect(isOnlyChanges).toBeGreaterThan(2)
        }),
        { numRuns: 2, endOnFailure: true },
      )
    },
    240_000,
  )

  it('asks for nothing but where it stands when nothing happened', async () => {
    const known = await fetched(null)
    fetchedBytes = 0
    const again = await fetchSnapshot(get, known)
    expect(again.blocks).toEqual([])
    const { setting, sources, baths, holds, lots, codes, goneLots, whole } = again.snapshot
    expect({ setting, sources, baths, holds, lots, codes, goneLots, whole }).toEqual({
      ...{ setting: null, sources: null, baths: null, holds: null },
      ...{ lots: [], codes: [], goneLots: [], whole: false },
    })
    expect(fetchedBytes).toBeLessThan(2000)
  })

  it('is sent whole when the journal is not the one that the phone knows', async () => {
    const known = await fetched(null)
    const other = { ...known, head: { ...known.head, lastHash: '0'.repeat(64) } }
    expect((await fetchSnapshot(get, other)).snapshot.whole).toBe(true)
    const ahead = { ...known, head: { ...known.head, next: known.head.next + 1 } }
    expect((await fetchSnapshot(get, ahead)).snapshot.whole).toBe(true)
    const lastYear = { ...known, head: { ...known.head, season: 2026 } }
    expect((await fetchSnapshot(get, lastYear)).snapshot.whole).toBe(true)
  })

  it('is of one version through and through: another is fetched whole, or not used', async () => {
    const known = await fetched(null)
    const older = { ...known, head: { ...known.head, version: SNAPSHOT_VERSION - 1 } }
    const answer = await fetchSnapshot(get, older)
    expect(answer.snapshot.whole).toBe(true)
    const newer = { ...answer.snapshot, version: SNAPSHOT_VERSION + 1 }
    expect(withFetched(known, { ...answer, snapshot: newer })).toBeNull()
  })
})
