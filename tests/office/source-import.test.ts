// Sources and tests come in from a file whole or not at all, and each bad line says what is wrong.
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { htmlProblems } from '../browser/html-problems.ts'
import { smallNursery } from '../grafting/small-nursery.ts'
import { officeApp } from '../office-app.ts'
import type { OfficeApp } from '../office-app.ts'
import { expectSaved, pageAt, plainText, recordedSoFar } from './form-answers.ts'
import { hiddenValue } from './send-file.ts'

let office: OfficeApp
beforeAll(async () => {
  office = await officeApp(new Date('2027-12-01T12:00:00Z'))
  await smallNursery(office)
})
afterAll(() => office.drop())

async function send(file: 'sources' | 'tests', text: string) {
  const body = new FormData()
  body.append('file', file)
  body.append('csv', new File([text], 'register.csv', { type: 'text/csv' }))
  const headers = { origin: 'http://localhost' }
  const address = 'http://localhost/sources/import'
  const response = await office.app.request(address, { method: 'POST', body, headers })
  return { status: response.status, page: await response.text() }
}

async function confirm(page: string) {
  const fields = { file: hiddenValue(page, 'file'), bytes: hiddenValue(page, 'bytes') }
  return expectSaved(office, '/sources/import/confirm', fields)
}

const sources = [
  'name;level;block;registry_number;variety;clone;scheme;class;planted;owner',
  'Crest vine 1;vine;Crest;C-1;alba fina;12;Washington;G2;2015;x',
  'Crest;block;;C-0;Alba Fina;12;Washington;G2;2015;y',
].join('\n')

describe('a file of sources', () => {
  it('is shown first, and then registers blocks and vines in whatever order', async () => {
    expect(htmlProblems(await pageAt(office, '/sources/import'))).toEqual([])
    const before = await recordedSoFar(office)
    const { status, page } = await send('sources', sources)
    expect(status, plainText(page)).toBe(200)
    expect(htmlProblems(page)).toEqual([])
    expect(plainText(page)).toContain('These columns are not read: owner')
    expect(await recordedSoFar(office)).toEqual(before)
    expect(await confirm(page)).toBe('/sources?saved=2')
    const found = plainText(await pageAt(office, '/sources?find=C-1'))
    expect(found).toMatch(/Crest vine 1 vine Alba Fina 12 Washington G2 C-1/)
  })

  it('names every bad line by cell and remedy, and imports none of the good ones', async () => {
    const before = await recordedSoFar(office)
    const { status, page } = await send(
      'sources',
      [
        'name,level,block,registry_number,variety,planted',
        'Good one,block,,,Alba Fina,2015',
        'Crest,block,,,Alba Fina,',
        'Twin number,block,,C-0,Alba Fina,',
        'Lost vine,vine,Nowhere,,Alba Fina,',
        'Wrong kind,tree,,,Alba Fina,2099',
        ',block,,,No Such Grape,',
        'Red vine,vine,Hill block,,Negra Sola,',
      ].join('\n'),
    )
    expect(status).toBe(422)
    const words = plainText(page)
    for (const said of [
      /line 3, name Crest A source of this name/,
      /line 4, registry_number C-0 Crest has this registry number/,
      /line 5, block Nowhere No source block is called so/,
      /line 6, level tree This is none of the words/,
      /line 6, planted 2099 The year 2099 is still to come/,
      /line 7, name The cell is empty/,
      /line 7, variety No Such Grape/,
      /line 8, variety Negra Sola The block Hill block is of another variety/,
    ]) {
      expect(words).toMatch(said)
    }
    expect(words).not.toMatch(/line 2/)
    expect(htmlProblems(page)).toEqual([])
    expect(await recordedSoFar(office)).toEqual(before)
  })

  it('without its headings says which are needed', async () => {
    const { status, page } = await send('sources', 'a,b\n1,2')
    expect(status).toBe(422)
    expect(plainText(page)).toContain('Not found: “name”, “level”, “variety”')
  })
})

describe('a file of tests', () => {
  const heads = 'source,agent,method,laboratory,sampled,vines,result,sample'

  it('is read by name or registry number, and counts in the scheme at once', async () => {
    const lines = [
      'C-1,GLRaV-3,ELISA,Valley lab,2021-06-14,1,negative,S-1',
      'Hill block,GRBV,PCR,Valley lab,2026-06-14,,detected,',
    ]
    const { status, page } = await send('tests', [heads, ...lines].join('\r\n'))
    expect(status, plainText(page)).toBe(200)
    expect(await confirm(page)).toBe('/sources?saved=2')
    const found = await pageAt(office, '/sources?find=C-1')
    const href = /href="(\/sources\/[0-9a-f-]{36})"/.exec(found)?.[1] ?? ''
    expect(plainText(await pageAt(office, href))).toContain(
      'last test 2021-06-14, due by 2026-06-14',
    )
  })

  it('that was read in before is not read in again, by a second confirming either', async () => {
    const text = [heads, 'C-1,GFLV,PCR,Valley lab,2022-06-14,1,not detected,S-2'].join('\n')
    const first = await send('tests', text)
    await confirm(first.page)
    const again = await send('tests', text)
    expect(again.status).toBe(422)
    expect(plainText(again.page)).toContain('This test is on record')
    const fields = {
      file: hiddenValue(first.page, 'file'),
      bytes: hiddenValue(first.page, 'bytes'),
    }
    const before = await recordedSoFar(office)
    expect((await office.post('/sources/import/confirm', fields)).status).toBe(422)
    expect(await recordedSoFar(office)).toEqual(before)
  })

  it('with a date of two readings or a strange source is refused line by line', async () => {
    const { status, page } = await send(
      'tests',
      [
        heads,
        'C-1,GFLV,PCR,Valley lab,03/02/2027,1,not detected,',
        'Nobody,GFLV,PCR,Valley lab,2027-02-03,0,maybe,',
        'C-1,GFLV,PCR,Valley lab,2028-02-03,1,not detected,',
      ].join('\n'),
    )
    expect(status).toBe(422)
    const words = plainText(page)
    expect(words).toMatch(/line 2, sampled 03\/02\/2027 This is no date/)
    expect(words).toMatch(/line 3, source Nobody No source is called so/)
    expect(words).toMatch(/line 3, vines 0 This is no number/)
    expect(words).toMatch(/line 3, result maybe/)
    expect(words).toMatch(/line 4, sampled 2028-02-03 This day is still to come/)
  })
})
