// Blocks are registered, rows laid out and planned, and the wood that the plans need is reckoned.
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { listRows, readRow } from '../../api/nursery/read-blocks.ts'
import { NIL_ID } from '../../api/wire/basics.ts'
import { graft, ids, layout, smallNursery } from '../grafting/small-nursery.ts'
import { officeApp } from '../office-app.ts'
import type { OfficeApp } from '../office-app.ts'
import { bodiesOf, expectRefused, expectSaved } from './form-answers.ts'
import { lastBody, pageAt, plainText } from './form-answers.ts'

let office: OfficeApp
beforeAll(async () => {
  office = await officeApp(new Date('2027-06-15T12:00:00Z'))
  await smallNursery(office)
})
afterAll(() => office.drop())

describe('a block', () => {
  it('is registered and corrected under one id', async () => {
    const location = await expectSaved(office, '/blocks/new', { name: 'High field', note: 'stony' })
    const path = location.replace(/\?.*$/, '')
    expect(plainText(await pageAt(office, path))).toContain('The block has no rows yet')
    await expectSaved(office, `${path}/edit`, { name: 'High field', note: 'very stony' })
    const bodies = await bodiesOf(office, 'block.registered')
    expect(new Set(bodies.slice(-2).map((body) => body.blockId)).size).toBe(1)
    expect(plainText(await pageAt(office, '/blocks'))).toContain('very stony')
  })

  it('is refused without a name, or under that of another', async () => {
    await expectRefused(office, '/blocks/new', { name: '' }, { name: /needed/ })
    await expectRefused(
      office,
      '/blocks/new',
      { name: 'lower BANK' },
      {
        name: /a block Lower bank already/,
      },
    )
  })

  it('shows its map, the same numbers in a table, and each row and vine as a link', async () => {
    const page = await pageAt(office, `/blocks/${ids.block}`)
    expect(page).toContain('<svg')
    expect(page).toContain(`href="/blocks/rows/${ids.row1}"`)
    expect(page).toContain(`/blocks/vines/${ids.row2}/40`)
    const words = plainText(page)
    expect(words).toContain('standing, nothing planned')
    expect(words).toMatch(/All rows 100 99 1/)
  })

  it('that nobody registered is not found, whatever is asked of it', async () => {
    for (const path of ['', '/edit', '/rows.csv', '/rows/new', '/import', '/plan']) {
      expect((await office.app.request(`/blocks/${NIL_ID}${path}`)).status).toBe(404)
    }
    expect((await office.app.request('/blocks/x')).status).toBe(404)
    expect((await office.app.request(`/blocks/rows/${NIL_ID}`)).status).toBe(404)
    expect((await office.app.request(`/blocks/vines/${ids.row1}/0`)).status).toBe(404)
    expect((await office.app.request(`/blocks/vines/${ids.row1}/61`)).status).toBe(404)
  })
})

describe('rows added by hand', () => {
  const path = `/blocks/${ids.block}/rows/new`
  const good = {
    labels: '3 to 5, 7A',
    positionCount: '25',
    headAt: 'the gate',
    missing: '3, 17 to 19',
    rootstock: ids.rootstock,
    rootstockClone: '4',
    rootstockOrigin: '',
    interstock: ids.white,
    interstockClone: '',
    interstockOrigin: 'W-2',
    plantedYear: '2015',
  }

  it('are laid out one after another behind the last, alike in all but the label', async () => {
    await expectSaved(office, path, good)
    const rows = (await listRows(office.services.db, ids.block)).slice(2)
    expect(rows.map((row) => [row.label, row.sequence])).toEqual([
      ['3', 3],
      ['4', 4],
      ['5', 5],
      ['7A', 6],
    ])
    expect(rows[0]).toMatchObject({ missing: [3, 17, 18, 19], head_at: 'the gate' })
    expect(rows[0]?.sections[0]?.layers).toMatchObject([
      { role: 'rootstock', clone: '4', origin_kind: 'unknown' },
      { role: 'interstock', origin_kind: 'lot', origin_id: ids.whiteLot2 },
    ])
  })

  it('are refused with each bad field named', async () => {
    const bad = {
      ...good,
      labels: '1, 9',
      positionCount: '15',
      plantedYear: '2030',
      rootstock: '',
      interstockOrigin: 'R-1',
    }
    await expectRefused(office, path, bad, {
      labels: /has row 1 already/,
      missing: /17 to 19 are outside it/,
      plantedYear: /between 1800 and 2027/,
      rootstock: /choose the variety of the rootstock/,
      interstockOrigin: /another variety than this interstock/,
    })
    const worse = { ...good, labels: '', positionCount: '2001', missing: '9, 3' }
    await expectRefused(office, path, worse, {
      labels: /needed/,
      positionCount: /between 1 and 2000/,
      missing: /must ascend/,
    })
    await expectRefused(
      office,
      path,
      { ...good, labels: '20 to 19', interstockOrigin: 'zzz' },
      {
        labels: /runs backwards/,
        interstockOrigin: /no lot and no source is called zzz/,
      },
    )
  })
})

describe('a row laid out again', () => {
  const path = `/blocks/rows/${ids.row2}/edit`

  it('starts from what is there, and replaces it under the same id', async () => {
    const page = await pageAt(office, path)
    expect(page).toContain('value="40"')
    expect(page).toContain('value="17"')
    const fields = {
      label: '2',
      sequence: '2',
      positionCount: '42',
      headAt: '',
      missing: '17, 41',
      s0_from: '1',
      s0_to: '20',
      s0_rootstock: ids.rootstock,
      s0_plantedYear: '2018',
      s1_from: '',
      s1_to: '',
      s2_from: '21',
      s2_to: '42',
      s2_rootstock: ids.rootstock,
      s2_rootstockClone: '9',
      s2_plantedYear: '',
    }
    await expectSaved(office, path, fields)
    const row = await readRow(office.services.db, ids.row2)
    expect(row).toMatchObject({ position_count: 42, missing: [17, 41], head_at: null })
    expect(row?.sections.map((section) => section.from_position)).toEqual([1, 21])
  })

  it('is refused at the stretch that is wrong, though another was left empty', async () => {
    const fields = {
      label: '1',
      sequence: '2',
      positionCount: '30',
      headAt: '',
      missing: '31',
      s0_from: '1',
      s0_to: '20',
      s0_rootstock: ids.rootstock,
      s2_from: '15',
      s2_to: '35',
      s2_rootstock: ids.rootstock,
    }
    await expectRefused(office, path, fields, {
      label: /has a row 1 already/,
      missing: /31 is outside it/,
      s2_from: /overlaps stretch 1/,
      s2_to: /only 30 positions/,
    })
  })

  it('is refused when it would cut off vines with grafts', async () => {
    await office.record([graft(38, '2027-04-02', { rowId: ids.row2 })])
    const fields = { label: '2', sequence: '2', positionCount: '37', headAt: '', missing: '' }
    await expectRefused(office, path, fields, {
      positionCount: /recorded up to position 38/,
    })
  })
})

describe('plans', () => {
  const good = {
    fromPosition: '1',
    toPosition: '60',
    season: '2027',
    varietyId: ids.white,
    clone: '12',
    class: '',
    method: 'chip bud',
    budsPerVine: '2',
  }

  it('of a stretch are kept and shown on the row', async () => {
    await expectSaved(office, `/blocks/rows/${ids.row1}/plan`, good)
    expect(await lastBody(office, 'row.planned')).toMatchObject({
      rowId: ids.row1,
      toPosition: 60,
      class: null,
      budsPerVine: 2,
    })
    const page = plainText(await pageAt(office, `/blocks/rows/${ids.row1}`))
    expect(page).toContain('2027 1 to 60 Alba Fina 12 any chip bud 2')
    expect(page).toContain('60 planned')
  })

  it('are refused beyond the row, backwards, or without a variety', async () => {
    const path = `/blocks/rows/${ids.row1}/plan`
    await expectRefused(
      office,
      path,
      { ...good, toPosition: '61', varietyId: '' },
      {
        toPosition: /row 1 has 60 positions; 61 is beyond its end/,
        varietyId: /choose the variety/,
      },
    )
    const backwards = { ...good, fromPosition: '9', toPosition: '3', season: '27' }
    await expectRefused(office, path, backwards, {
      toPosition: /swap the two/,
      season: /between 1950 and 2037/,
    })
    await expectRefused(
      office,
      path,
      { ...good, budsPerVine: '1.5' },
      {
        budsPerVine: /whole number, not 1.5/,
      },
    )
  })

  it('of several rows of a block are one entry for each, over the whole row', async () => {
    const before = (await bodiesOf(office, 'row.planned')).length
    const rows = (await listRows(office.services.db, ids.block)).slice(2, 4)
    const { fromPosition, toPosition, ...same } = good
    expect([fromPosition, toPosition]).toEqual(['1', '60'])
    const fields = { ...same, varietyId: ids.red, clone: '', season: '2028' }
    const chosen = rows.map((row) => row.row_id)
    await expectSaved(office, `/blocks/${ids.block}/plan`, { ...fields, rows: chosen })
    const made = (await bodiesOf(office, 'row.planned')).slice(before)
    expect(made.map((body) => [body.rowId, body.toPosition])).toEqual(chosen.map((id) => [id, 25]))
    await expectRefused(office, `/blocks/${ids.block}/plan`, fields, { rows: /tick at least one/ })
  })

  it('say how much wood to cut, with the arithmetic: 58 vines take 35 sticks', async () => {
    // Two of the sixty are gone: 58 × 2 = 116 buds; half as many again 174; by 5: 34.8, so 35.
    await office.record([
      { kind: 'vine.removed', body: { rowId: ids.row1, position: 8, reason: 'dead' } },
      {
        kind: 'row.laid_out',
        body: layout({ missing: [9] }),
        occurredAt: new Date('2027-06-15T11:00:00Z'),
      },
      graft(1, '2027-04-02'),
    ])
    const page = plainText(await pageAt(office, '/blocks/plans?season=2027'))
    expect(page).toContain(
      '58 vines × 2 buds = 116 buds; + 50 % = 174 buds; ÷ 5 buds on a stick = 35 sticks',
    )
    expect(page).toMatch(/Alba Fina, clone 12 any 1 58 1 0 57 /)
    expect(page).toContain('The Crush (California Association of Winegrape Growers)')
    // 57 × 2 × 1.5 / 5 = 34.2, so 35 again; 1 package of 200 with 165 over.
    expect(page).toContain('1 of 200, 165 over')
  })

  it('of the published example come to 600 sticks in three packages', async () => {
    // 1,000 vines × 2 buds × 1.5 / 5 = 600 sticks = 3 × 200: The Crush (CAWG), December 2019, and
    // Rebenpflanzgutverordnung 1986 Anlage 3.
    const location = await expectSaved(office, '/blocks/new', { name: 'Thousand', note: '' })
    const path = location.replace(/\?.*$/, '')
    const fields = { labels: '1 to 10', positionCount: '100', missing: '', headAt: '' }
    await expectSaved(office, `${path}/rows/new`, fields)
    const blockId = path.replace('/blocks/', '')
    const rows = (await listRows(office.services.db, blockId)).map((row) => row.row_id)
    const plan = { season: '2030', varietyId: ids.red, clone: '', class: '', method: '' }
    await expectSaved(office, `${path}/plan`, { ...plan, budsPerVine: '2', rows })
    const page = plainText(await pageAt(office, '/blocks/plans?season=2030'))
    expect(page).toContain('1000 vines × 2 buds = 2000 buds; + 50 % = 3000 buds')
    expect(page).toMatch(/= 600 sticks, rounded up 600 600 3 of 200 /)
  })

  it('of a season without any says how to begin', async () => {
    expect(plainText(await pageAt(office, '/blocks/plans?season=2031'))).toContain(
      'Nothing is planned for 2031',
    )
  })
})
