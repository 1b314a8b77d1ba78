// A source's page beside its scheme: tests in time, inspections with distances, own rules.
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { htmlProblems } from '../browser/html-problems.ts'
import { ids, smallNursery } from '../grafting/small-nursery.ts'
import { officeApp } from '../office-app.ts'
import type { OfficeApp } from '../office-app.ts'
import { expectRefused, expectSaved, lastBody, pageAt, plainText } from './form-answers.ts'

let office: OfficeApp
let sourcePage: string
beforeAll(async () => {
  office = await officeApp(new Date('2027-12-01T12:00:00Z'))
  await smallNursery(office)
  const block = {
    ...{ level: 'block', parentSourceId: '', name: 'Ridge block', registryNumber: 'R-7741' },
    ...{ varietyId: ids.red, clone: '9', scheme: 'Oregon', class: 'G2', plantedYear: '2012' },
    ...{ originLot: '', vineRow: '', vinePosition: '', note: '' },
  }
  sourcePage = (await expectSaved(office, '/sources/new', block)).replace(/\?.*/, '')
})
afterAll(() => office.drop())

const inspection = {
  kind: 'isolation',
  inspectedOn: '2027-11-20',
  partyId: '',
  result: 'in order',
  isolationMetres: '8,5',
  nearby: 'an old block beyond the track',
  note: '',
}

describe('an inspection', () => {
  it('is kept with distance and what stands there, and answers the rule of isolation', async () => {
    expect(htmlProblems(await pageAt(office, `${sourcePage}/inspection`))).toEqual([])
    await expectSaved(office, `${sourcePage}/inspection`, inspection)
    expect(await lastBody(office, 'source.inspected')).toMatchObject({
      kind: 'isolation',
      isolationMetres: 8.5,
      partyId: null,
    })
    const page = await pageAt(office, sourcePage)
    expect(plainText(page)).toContain('8.5 m an old block beyond the track')
    expect(plainText(page)).toMatch(/does not hold 8\.5 m to an old block .*asked are 9\.144 m/)
    expect(htmlProblems(page)).toEqual([])
  })

  it('of a day to come, or of a distance that was not measured, is refused', async () => {
    const wrong = { ...inspection, inspectedOn: '2027-12-02', isolationMetres: '' }
    await expectRefused(office, `${sourcePage}/inspection`, wrong, {
      inspectedOn: /still to come/,
      isolationMetres: /give the distance/,
    })
  })
})

describe('a rule of the nursery’s own', () => {
  const rule = {
    scheme: 'Oregon',
    topic: 'retest',
    className: '',
    amount: '36',
    citation: 'letter of the department, 3 May 2027',
  }

  it('takes the place of a figure that is not known, and names its word', async () => {
    expect(plainText(await pageAt(office, sourcePage))).toContain(
      'How often increase blocks are tested not known',
    )
    await expectSaved(office, '/sources/schemes', rule)
    const page = await pageAt(office, '/sources/schemes')
    expect(plainText(page)).toContain('Sources are tested every 36 months')
    expect(htmlProblems(page)).toEqual([])
    await expectSaved(office, `${sourcePage}/test`, {
      ...{ agent: 'GLRaV-3', result: 'not detected', method: 'ELISA', laboratory: 'a laboratory' },
      ...{ sampledOn: '2024-11-30', pooledVines: '1', sampleReference: '', note: '' },
    })
    expect(plainText(await pageAt(office, sourcePage))).toMatch(
      /does not hold last test 2024-11-30, due by 2027-11-30 letter of the department/,
    )
  })

  it('is taken away again by an empty figure, once', async () => {
    await expectSaved(office, '/sources/schemes', { ...rule, amount: '' })
    expect(plainText(await pageAt(office, '/sources/schemes'))).not.toContain('every 36 months')
    await expectRefused(
      office,
      '/sources/schemes',
      { ...rule, amount: '' },
      { amount: /no such rule stands/ },
    )
  })

  it('counts tests and inspections in whole numbers', async () => {
    const wrong = { ...rule, topic: 'inspection', amount: '0' }
    await expectRefused(office, '/sources/schemes', wrong, { amount: /1 or more/ })
  })
})
