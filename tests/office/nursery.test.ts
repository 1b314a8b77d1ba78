// The nursery's particulars, varieties, firms and policies are kept at the desk.
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { readNursery, readPolicies } from '../../api/nursery/read.ts'
import { NIL_ID } from '../../api/wire/basics.ts'
import { ids, smallNursery } from '../grafting/small-nursery.ts'
import { officeApp } from '../office-app.ts'
import type { OfficeApp } from '../office-app.ts'
import { expectRefused, expectSaved, lastBody, pageAt, plainText } from './form-answers.ts'

const now = new Date('2027-12-01T12:00:00Z')
let office: OfficeApp
beforeAll(async () => {
  office = await officeApp(now)
  await smallNursery(office)
})
afterAll(() => office.drop())

describe('the particulars', () => {
  const good = {
    name: 'Vivero del Llano',
    address: 'Camino bajo 4\nValdellano',
    country: 'es',
    operatorNumber: 'ES 01 0042',
    certificationBody: '',
    labelHost: 'labels.example.org',
    timeZone: 'Europe/Madrid',
  }

  it('are saved as typed, with empty fields as nothing', async () => {
    expect(await expectSaved(office, '/nursery/profile', good)).toBe('/nursery?saved=1')
    expect(await readNursery(office.services.db)).toMatchObject({
      name: 'Vivero del Llano',
      address: 'Camino bajo 4\nValdellano',
      country: 'ES',
      certification_body: null,
    })
    expect(plainText(await pageAt(office, '/nursery'))).toContain('Europe/Madrid')
  })

  it('are refused with each bad field named', async () => {
    const bad = {
      ...good,
      name: '',
      country: 'Spain',
      labelHost: 'https://x/y',
      timeZone: 'Madrid',
    }
    await expectRefused(office, '/nursery/profile', bad, {
      name: /the name is needed/,
      country: /two capital letters/,
      labelHost: /only the host/,
      timeZone: /Europe\/Madrid/,
    })
  })

  it('are refused when a name holds a mark that turns the direction of writing', async () => {
    const hidden = { ...good, name: 'Vivero\u202Eonall' }
    await expectRefused(office, '/nursery/profile', hidden, { name: /U\+202E.*hidden mark/ })
  })
})

describe('a variety', () => {
  it('is registered with its other spellings, one on each line', async () => {
    const fields = { name: 'Rosa Larga', use: 'scion', synonyms: 'Rosalarga\n\nLonga Rosa' }
    await expectSaved(office, '/nursery/varieties/new', fields)
    expect(await lastBody(office, 'variety.registered')).toMatchObject({
      name: 'Rosa Larga',
      synonyms: ['Rosalarga', 'Longa Rosa'],
      use: 'scion',
    })
  })

  it('is corrected under the same id', async () => {
    const path = `/nursery/varieties/${ids.red}`
    expect(await pageAt(office, path)).toContain('value="Negra Sola"')
    await expectSaved(office, path, { name: 'Negra Sola', use: 'both', synonyms: 'Tinta Sola' })
    const body = await lastBody(office, 'variety.registered')
    expect(body).toMatchObject({ varietyId: ids.red, use: 'both', synonyms: ['Tinta Sola'] })
  })

  it('is refused under a name that another has, accents and capitals aside', async () => {
    const fields = { name: 'álba FINA', use: 'scion', synonyms: 'Tinta Sola' }
    await expectRefused(office, '/nursery/varieties/new', fields, {
      name: /is a name of the variety Alba Fina/,
      synonyms: /is a name of the variety Negra Sola/,
    })
  })

  it('is refused without a use, or with one spelling twice', async () => {
    const fields = { name: 'Verde', use: '', synonyms: 'Verda\nVERDA' }
    await expectRefused(office, '/nursery/varieties/new', fields, {
      use: /choose what it is grown for/,
      synonyms: /given twice/,
    })
  })

  it('that nobody registered is not found', async () => {
    expect((await office.app.request(`/nursery/varieties/${NIL_ID}`)).status).toBe(404)
    expect((await office.app.request('/nursery/varieties/x')).status).toBe(404)
  })
})

describe('a firm or crew', () => {
  const good = { name: 'South crew', role: 'crew', registrationNumber: '', note: 'four people' }

  it('is registered, then corrected', async () => {
    await expectSaved(office, '/nursery/parties/new', good)
    const { partyId } = await lastBody(office, 'party.registered')
    const path = `/nursery/parties/${String(partyId)}`
    await expectSaved(office, path, { ...good, note: 'five people' })
    expect(await lastBody(office, 'party.registered')).toMatchObject({
      partyId,
      note: 'five people',
    })
    expect(plainText(await pageAt(office, '/nursery/parties'))).toContain('five people')
  })

  it('is refused without a role, or under a name that its like has', async () => {
    const twin = { ...good, name: 'NORTH crew' }
    await expectRefused(office, '/nursery/parties/new', twin, { name: /registered already/ })
    const roleless = { ...good, name: 'East crew', role: 'friend' }
    const response = await office.post('/nursery/parties/new', roleless)
    expect(response.status).toBe(422)
    expect(await response.text()).toContain('error-role')
  })
})

describe('a policy', () => {
  const good = { value: '20', source: 'our own trial of 2026', effectiveFrom: '2027-12-01' }

  it('is set with its source and counts from its day on, not before', async () => {
    const { db } = office.services
    await expectSaved(office, '/nursery/policies/soakMinHours', good)
    await expectSaved(office, '/nursery/policies/soakMinHours', {
      ...good,
      value: '12.5',
      effectiveFrom: '2028-02-01',
    })
    const { policies } = await readPolicies(db, now)
    expect(policies.soakMinHours).toMatchObject({ value: 20, source: 'our own trial of 2026' })
    const later = await readPolicies(db, new Date('2028-02-01T10:00:00Z'))
    expect(later.policies.soakMinHours.value).toBe(12.5)
    const page = plainText(await pageAt(office, '/nursery/policies'))
    expect(page).toContain('20 hours')
    expect(page).toContain('The trade gives 24-48 h')
  })

  it('of yes or no, and an order of classes, are read back as they were set', async () => {
    const { db } = office.services
    await expectSaved(office, '/nursery/policies/contactHoldStops', { ...good, value: 'no' })
    const value = 'EU: initial > base > certified > standard\nhouse: A > B'
    await expectSaved(office, '/nursery/policies/classLadder', { ...good, value })
    const { policies, refused } = await readPolicies(db, now)
    expect(refused).toEqual([])
    expect(policies.contactHoldStops.value).toBe(false)
    expect(policies.classLadder.value).toContainEqual({
      scheme: 'house',
      classes: ['A', 'B'],
      source: 'our own trial of 2026',
    })
  })

  it('is refused out of its range, against another policy, or without a source', async () => {
    const path = '/nursery/policies/soakMinHours'
    await expectRefused(
      office,
      path,
      { ...good, value: '-1', source: '' },
      {
        value: /between 0 and 240/,
        source: /is needed/,
      },
    )
    await expectRefused(office, path, { ...good, value: '60' }, { value: /below soakMaxHours/ })
    await expectRefused(office, path, { ...good, value: 'a day' }, { value: /must be a number/ })
    await expectRefused(office, path, { ...good, value: '' }, { value: /needed, in hours/ })
    await expectRefused(
      office,
      '/nursery/policies/classLadder',
      { ...good, value: 'EU initial, base' },
      { value: /is no scheme with its classes/ },
    )
  })

  it('that a device set to nonsense is left out, and the page says so', async () => {
    await office.record([
      {
        kind: 'policy.set',
        body: { key: 'soakMaxHours', value: 'long', source: 'x', effectiveFrom: '2027-01-01' },
      },
    ])
    const { policies, refused } = await readPolicies(office.services.db, now)
    expect(policies.soakMaxHours.value).toBe(48)
    expect(refused.map(({ key }) => key)).toEqual(['soakMaxHours'])
    expect(plainText(await pageAt(office, '/nursery/policies'))).toContain('make no sense')
  })

  it('under an unknown key is not found', async () => {
    expect((await office.app.request('/nursery/policies/__proto__')).status).toBe(404)
  })
})
