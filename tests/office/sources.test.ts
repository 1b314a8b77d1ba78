// The register of sources: what the desk accepts, what it refuses, and what a source's page tells.
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { NIL_ID } from '../../api/wire/basics.ts'
import { ids, smallNursery } from '../grafting/small-nursery.ts'
import { officeApp } from '../office-app.ts'
import type { OfficeApp } from '../office-app.ts'
import { expectRefused, expectSaved, lastBody, pageAt, plainText } from './form-answers.ts'

let office: OfficeApp
beforeAll(async () => {
  office = await officeApp(new Date('2027-12-01T12:00:00Z'))
  await smallNursery(office)
})
afterAll(() => office.drop())

const block = {
  level: 'block',
  parentSourceId: '',
  name: 'Ridge block',
  registryNumber: 'R-7741',
  varietyId: ids.red,
  clone: '9',
  scheme: 'EU',
  class: 'base',
  plantedYear: '2012',
  originLot: '',
  vineRow: '',
  vinePosition: '',
  note: '',
}

describe('a source', () => {
  it('is registered as typed, and found by its registry number', async () => {
    const location = await expectSaved(office, '/sources/new', block)
    expect(location).toMatch(/^\/sources\/[0-9a-f-]{36}\?saved=1$/)
    expect(await lastBody(office, 'source.registered')).toMatchObject({
      level: 'block',
      registryNumber: 'R-7741',
      plantedYear: 2012,
      originLotId: null,
      vine: null,
    })
    expect(plainText(await pageAt(office, '/sources?find=7741'))).toContain('Ridge block')
    const page = plainText(await pageAt(office, location))
    expect(page).toContain('Source block of Negra Sola')
    expect(page).toContain('No standing is recorded')
  })

  it('in a block, grown from a lot and standing in a row, keeps all three', async () => {
    const fields = {
      ...block,
      level: 'vine',
      parentSourceId: ids.redSource,
      name: 'Dale vine 3',
      registryNumber: '',
      originLot: 'r-1',
      vineRow: 'Lower bank, row 2',
      vinePosition: '3',
    }
    const location = await expectSaved(office, '/sources/new', fields)
    expect(await lastBody(office, 'source.registered')).toMatchObject({
      parentSourceId: ids.redSource,
      originLotId: ids.redLot,
      vine: { rowId: ids.row2, position: 3 },
    })
    const page = plainText(await pageAt(office, location))
    for (const words of ['Dale block', 'R-1', 'Lower bank, row 2, vine 3']) {
      expect(page).toContain(words)
    }
    expect(plainText(await pageAt(office, `/sources/${ids.redSource}`))).toContain('Dale vine 3')
    const vine = plainText(await pageAt(office, `${location.split('?')[0] ?? ''}/edit`))
    expect(vine).toContain('Correct Dale vine 3')
    const twin = { ...fields, name: 'Dale vine 4' }
    await expectRefused(office, '/sources/new', twin, {
      vinePosition: /vine 3 of Lower bank, row 2 serves as Dale vine 3 already/,
    })
  })

  it('is corrected under the same id, with what was known filled in', async () => {
    const path = `/sources/${ids.source}/edit`
    const page = await pageAt(office, path)
    expect(page).toContain('value="Hill block"')
    const fields = { ...block, name: 'Hill block', varietyId: ids.white, registryNumber: 'H-1' }
    await expectSaved(office, path, { ...fields, clone: '12', class: 'certified' })
    expect(await lastBody(office, 'source.registered')).toMatchObject({ sourceId: ids.source })
  })

  it('is refused with every bad field named', async () => {
    const bad = {
      ...block,
      level: '',
      name: '',
      varietyId: '',
      scheme: '',
      plantedYear: '2031',
      originLot: 'no-such',
      vinePosition: '4',
    }
    await expectRefused(office, '/sources/new', bad, {
      level: /choose/,
      name: /needed/,
      varietyId: /choose the variety/,
      scheme: /belongs to a scheme/,
      plantedYear: /between 1800 and 2027/,
      originLot: /no lot no-such/,
      vineRow: /name the row as well/,
    })
  })

  it('is refused under a name or a registry number that another has', async () => {
    await expectRefused(
      office,
      '/sources/new',
      { ...block, name: 'HILL block' },
      {
        name: /there is a source Hill block already/,
        registryNumber: /that of Ridge block/,
      },
    )
  })

  it('is refused in what is no block, of another variety, or when it is a block', async () => {
    const vine = { ...block, level: 'vine', name: 'Vine 1', registryNumber: '' }
    await expectRefused(
      office,
      '/sources/new',
      { ...vine, parentSourceId: ids.source },
      {
        varietyId: /Hill block is of another variety/,
      },
    )
    const inBlock = { ...block, name: 'Inner', registryNumber: '', parentSourceId: ids.redSource }
    await expectRefused(office, '/sources/new', inBlock, { parentSourceId: /stands in no other/ })
  })

  it('is refused on a place where no vine stands, and from a lot of another variety', async () => {
    const vine = {
      ...block,
      level: 'vine',
      name: 'Vine 1',
      registryNumber: '',
      originLot: 'W-1',
      vineRow: 'lower bank, ROW 2',
      vinePosition: '17',
    }
    await expectRefused(office, '/sources/new', vine, {
      originLot: /of another variety/,
      vinePosition: /no vine 17 of Lower bank, row 2 stands now/,
    })
    const other = { ...vine, originLot: '', vineRow: '99', vinePosition: '1' }
    await expectRefused(office, '/sources/new', other, { vineRow: /no row “99”/ })
  })

  it('is refused as grown from a lot that was cut from it', async () => {
    const fields = { ...block, name: 'Hill block', varietyId: ids.white, registryNumber: 'H-1' }
    await expectRefused(
      office,
      `/sources/${ids.source}/edit`,
      { ...fields, originLot: 'W-1' },
      {
        originLot: /came of this very source/,
      },
    )
  })

  it('begun from a block or from a vine has their particulars filled in', async () => {
    const fromBlock = await pageAt(office, `/sources/new?parent=${ids.source}`)
    expect(fromBlock).toMatch(new RegExp(`value="${ids.source}"[^>]*selected`))
    const fromVine = await pageAt(office, `/sources/new?row=${ids.row1}&position=5`)
    expect(fromVine).toContain('value="Lower bank, row 1"')
    expect(await pageAt(office, '/sources/new?parent=nonsense&row=--')).toContain('<form')
  })

  it('that nobody registered is not found', async () => {
    for (const path of [`/sources/${NIL_ID}`, `/sources/${NIL_ID}/edit`, '/sources/x/test']) {
      expect((await office.app.request(path)).status).toBe(404)
    }
  })
})

describe('the standing of a source', () => {
  const path = `/sources/${ids.redSource}/standing`
  const change = { standing: 'suspended', effectiveFrom: '2027-11-20', reason: 'virus suspected' }

  it('changes from a day on, and the page shows it over time', async () => {
    await expectSaved(office, path, change)
    const page = plainText(await pageAt(office, `/sources/${ids.redSource}`))
    expect(page).toContain('suspended since 2027-11-20: wood cut since then is stopped')
    expect(page).toContain('2020-01-01 good inspected')
    expect(plainText(await pageAt(office, '/sources?find=dale'))).toContain('suspended')
  })

  it('that begins later does not count yet', async () => {
    await expectSaved(office, path, {
      ...change,
      standing: 'withdrawn',
      effectiveFrom: '2028-01-01',
    })
    expect(plainText(await pageAt(office, '/sources?find=dale'))).not.toContain('withdrawn')
  })

  it('is refused without a reason or a day, and when it changes nothing', async () => {
    await expectRefused(
      office,
      path,
      { standing: '', effectiveFrom: '', reason: '' },
      {
        standing: /choose the standing/,
        effectiveFrom: /a date like/,
        reason: /say why/,
      },
    )
    await expectRefused(
      office,
      path,
      { ...change, effectiveFrom: '2027-11-25' },
      {
        standing: /suspended from 2027-11-20 on already/,
      },
    )
  })
})

describe('a health test', () => {
  const path = `/sources/${ids.source}/test`
  const test = {
    agent: 'fanleaf virus (GFLV)',
    method: 'ELISA',
    laboratory: 'Vega laboratory',
    sampledOn: '2027-06-10',
    pooledVines: '5',
    result: 'detected',
    sampleReference: 'V-118',
    note: '',
  }

  it('is kept as the laboratory reported it, and a missing hold is pointed out', async () => {
    await expectSaved(office, path, test)
    expect(await lastBody(office, 'source.tested')).toMatchObject({
      agent: 'fanleaf virus (GFLV)',
      pooledVines: 5,
      result: 'detected',
    })
    const page = plainText(await pageAt(office, `/sources/${ids.source}`))
    expect(page).toContain('was detected in a sample of 2027-06-10, and no hold stands')
    await office.record([
      {
        kind: 'hold.placed',
        body: {
          holdId: ids.room,
          on: { kind: 'source', id: ids.source },
          agent: 'fanleaf virus (GFLV)',
          reason: 'positive test',
        },
      },
    ])
    const held = plainText(await pageAt(office, `/sources/${ids.source}`))
    expect(held).not.toContain('no hold stands')
    expect(held).toContain('positive test')
  })

  it('is refused when it was sampled tomorrow, or lacks what a report has', async () => {
    const bad = {
      ...test,
      agent: '',
      method: '',
      laboratory: '',
      sampledOn: '2027-12-02',
      pooledVines: '0',
      result: 'maybe',
    }
    const { result, ...kept } = bad
    const response = await office.post(path, bad)
    expect(response.status).toBe(422)
    expect(await response.text()).toContain('error-result')
    expect(result).toBe('maybe')
    await expectRefused(office, path, kept, {
      agent: /needed/,
      method: /needed/,
      laboratory: /needed/,
      sampledOn: /still to come/,
      pooledVines: /between 1 and 1000/,
      result: /choose the result/,
    })
  })
})

it('the page of a source lists its lots with the sticks cut', async () => {
  const page = plainText(await pageAt(office, `/sources/${ids.source}`))
  expect(page).toMatch(/W-1 cut 2027-02-01 100/)
  expect(page).toMatch(/W-2 cut 2027-02-01 100/)
})
