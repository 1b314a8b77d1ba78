// Hash ids of events agree with the values that are published for the algorithm.
// Source of events and values: the MIT-licensed reference project of the algorithm of CBV 2.0 §8.9
// (epcis-event-hash-generator): its worked examples 1 to 3 and its file of a single event.
import { createHash } from 'node:crypto'
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { eventHashId, isHashable, preHashString } from '../../api/exchange/event-hash.ts'
import { canonicalKey } from '../../api/exchange/gs1-keys.ts'

const example = { example: 'https://ns.example.com/epcis/' }
const id = (hex: string) => `ni:///sha-256;${hex}?ver=CBV2.0`
const sha256 = (text: string) => createHash('sha256').update(text, 'utf8').digest('hex')

const singleEvent = {
  type: 'ObjectEvent',
  action: 'OBSERVE',
  bizStep: 'shipping',
  disposition: 'in_transit',
  epcList: ['urn:epc:id:sgtin:0614141.107346.2017', 'urn:epc:id:sgtin:0614141.107346.2018'],
  eventTime: '2022-02-16T20:33:31.116000-06:00',
  eventTimeZoneOffset: '-06:00',
  readPoint: { id: 'urn:epc:id:sgln:0614141.07346.1234' },
  bizTransactionList: [{ type: 'po', bizTransaction: 'http://transaction.acme.com/po/12345678' }],
}

const withExtensions = {
  type: 'ObjectEvent',
  eventTime: '2020-03-04T11:00:30.000+01:00',
  eventTimeZoneOffset: '+01:00',
  recordTime: '2020-03-04T11:00:30.999+01:00',
  epcList: [
    'urn:epc:id:sscc:4012345.0000000333',
    'urn:epc:id:sscc:4012345.0000000111',
    'urn:epc:id:sscc:4012345.0000000222',
  ],
  action: 'OBSERVE',
  bizStep: 'departing',
  readPoint: { id: 'urn:epc:id:sgln:4012345.00011.987' },
  'example:myField1': { 'example:mySubField1': '2', 'example:mySubField2': '5' },
  'example:myField2': '0',
  'example:myField3': { 'example:mySubField3': ['3', '1'] },
}

const withSensors = {
  type: 'ObjectEvent',
  eventTime: '2020-04-01T15:00:00+01:00',
  eventTimeZoneOffset: '+01:00',
  epcList: ['urn:epc:id:sgtin:4012345.011111.9876'],
  action: 'OBSERVE',
  bizStep: 'inspecting',
  readPoint: { id: 'urn:epc:id:sgln:4012345.00005.0' },
  sensorElementList: [
    {
      sensorMetadata: {
        deviceID: 'urn:epc:id:giai:4000001.111',
        deviceMetadata: 'https://id.gs1.org/8004/4000001111',
      },
      sensorReport: [
        { type: 'Temperature', value: 26, sDev: 0.1, uom: 'CEL' },
        { type: 'AbsoluteHumidity', value: 12.1, uom: 'A93' },
        {
          type: 'Dimensionless',
          microorganism: 'https://www.ncbi.nlm.nih.gov/taxonomy/1126011',
          value: 0.05,
          uom: 'C35',
        },
        {
          type: 'Dimensionless',
          chemicalSubstance: 'https://identifiers.org/inchikey:CZMRCDWAGMRECN-UGDNZRGBSA-N',
          value: 0.18,
          uom: 'C35',
        },
      ],
    },
  ],
}

const withParties = {
  type: 'ObjectEvent',
  eventTime: '2020-03-04T11:00:30+01:00',
  eventTimeZoneOffset: '+01:00',
  epcList: ['urn:epc:id:sgtin:0614141.011111.987'],
  action: 'OBSERVE',
  bizStep: 'departing',
  disposition: 'in_transit',
  readPoint: { id: 'urn:epc:id:sgln:4012345.00011.0', 'example:myField1': 'AB-12' },
  bizTransactionList: [{ type: 'po', bizTransaction: 'urn:epc:id:gdti:4012345.11111.123' }],
  sourceList: [{ type: 'owning_party', source: 'urn:epc:id:pgln:4012345.00000' }],
  destinationList: [{ type: 'owning_party', destination: 'urn:epc:id:pgln:0614141.00000' }],
  'example:userExt': 'CD-34',
}

describe('the hash id of an event', () => {
  it('is the published one for the single event', () => {
    const hex = 'ffa491b16867e34a7791a8d5389d826afc24e63a121026b6a4004ace38631b4b'
    expect(eventHashId(singleEvent, {})).toBe(id(hex))
  })

  it('is the published one for extensions (example 1), whatever their order', () => {
    const hex = '6ae96341e0acc6d7a261364751f60e68278a81cdf51da0abb6b4e617014e39d7'
    expect(eventHashId(withExtensions, example)).toBe(id(hex))
    const turned = Object.fromEntries(Object.entries(withExtensions).reverse())
    expect(eventHashId(turned, example)).toBe(id(hex))
  })

  it('is the published one for sensor data (example 2)', () => {
    const hex = '271565c346ae2fb28c4583c4dca4ab4772d465eb4e0b6e548d77d8b49377d95c'
    expect(eventHashId(withSensors, {})).toBe(id(hex))
  })

  it('is the published one for parties and a place with an extension (example 3)', () => {
    const hex = '3ae14c02c4bdc220cc31942cf804f6845eb8dec96ba6483391c92a9b165f9329'
    expect(eventHashId(withParties, example)).toBe(id(hex))
  })

  it('differs from the values published before 2026 only by the reading that they had', () => {
    // Example 2 then named the list of sensor elements and kept the older address of GS1 words;
    // example 3 put destinations before sources and the extension right behind its place.
    const two = preHashString(withSensors, {})
      .replace('sensorElement', 'sensorElementListsensorElement')
      .replaceAll('https://ref.gs1.org/voc/', 'https://gs1.org/voc/')
    expect(sha256(two)).toBe('49b13037c36e84ad9307c531671b00e901318c3957e4b1151f816ec49eb668da')
    const own = '{https://ns.example.com/epcis/}myField1=AB-12'
    const three = preHashString(withParties, example)
      .replace(`readPoint${own}`, '')
      .replace('bizTransactionList', `${own}bizTransactionList`)
      .replace(/(sourceList.*)(destinationList[^{]*)/, '$2$1')
    expect(sha256(three)).toBe('a13cbe6c8bb6df3710b3edaeff760a1365ec8fd69ca1f4d7e0c10eb5189a883a')
  })

  it('does not change with what does not count, and changes with everything else', () => {
    const plain = eventHashId(withParties, example)
    const declared = {
      ...withParties,
      eventID: 'urn:uuid:1',
      recordTime: '2021-01-01T00:00:00Z',
      errorDeclaration: { declarationTime: '2021-01-01T00:00:00Z', reason: 'did_not_occur' },
    }
    expect(eventHashId(declared, example)).toBe(plain)
    const changed = Object.keys(withParties).map((name) => {
      const rest = Object.fromEntries(Object.entries(withParties).filter(([key]) => key !== name))
      return eventHashId(rest, example)
    })
    expect(new Set([plain, ...changed]).size).toBe(changed.length + 1)
  })

  it('tells apart what is hashed and extensions in sensor elements, which are not', () => {
    expect(isHashable(withSensors)).toBe(true)
    const [element] = withSensors.sensorElementList
    const own = { sensorElementList: [{ ...element, 'example:batch': 'B' }] }
    expect(isHashable({ ...withSensors, ...own })).toBe(false)
  })
})

describe('numbers and times in it', () => {
  it('times are in UTC with three decimals, the fourth rounding them', () => {
    const timed = (eventTime: string) => preHashString({ type: 'ObjectEvent', eventTime }, {})
    const start = 'eventType=ObjectEventeventTime='
    expect(timed('2023-01-18T11:04:03.1415Z')).toBe(`${start}2023-01-18T11:04:03.142Z`)
    expect(timed('2023-01-18T23:59:59.9996+01:00')).toBe(`${start}2023-01-18T23:00:00.000Z`)
    expect(timed('2023-01-18T11:04:03Z')).toBe(`${start}2023-01-18T11:04:03.000Z`)
  })

  it('a number and its text with needless zeros hash alike', () => {
    const write = (value: unknown) =>
      preHashString({ type: 'ObjectEvent', 'a:b': value }, { a: '/' })
    fc.assert(
      fc.property(fc.integer({ min: -99_999, max: 99_999 }), (number) => {
        expect(write(`${number}.000`)).toBe(write(number))
        expect(write(number / 8)).toBe(write(`${String(number / 8)}`))
      }),
    )
    expect(write('0.3434000')).toBe('eventType=ObjectEvent{/}b=0.3434')
  })
})

describe('keys in it', () => {
  // From the table of EPC URIs and Digital Link URIs of the same project.
  it.each([
    ['urn:epc:id:sgtin:4012345.011111.9876', '01/04012345111118/21/9876'],
    ['urn:epc:class:lgtin:4012345.012345.Lot987', '01/04012345123456/10/Lot987'],
    ['urn:epc:id:sgln:4012345.00011.987', '414/4012345000115/254/987'],
    ['urn:epc:id:giai:4000001.111', '8004/4000001111'],
    [
      'https://example.org/x/01/09521234543213/10/ABC123/21/12345?17=1',
      '01/09521234543213/21/12345',
    ],
  ])('%s has its one form', (text, path) => {
    expect(canonicalKey(text)).toBe(`https://id.gs1.org/${path}`)
  })

  it('leaves our own addresses as they are', () => {
    expect(canonicalKey('https://vines.example/id/lot/0195a7c0-0000-7000-8000-000000000004')).toBe(
      null,
    )
  })
})
