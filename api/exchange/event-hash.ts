// The id of an EPCIS event that follows from what it says: CBV 2.0 §8.9, in the form of RFC 6920.
import { createHash } from 'node:crypto'
import { canonicalKey } from './gs1-keys.ts'
import { CBV, GS1_VOC, OWN_PREFIX, STANDARD_PREFIXES } from './terms.ts'

/** Prefixes of a document by name, those of the standard included. */
export type Prefixes = Readonly<Record<string, string>>

/** A plain JSON object. */
type Json = Record<string, unknown>

/** The event's hash id, `ni:///sha-256;…?ver=CBV2.0`, by the prefixes of its document. */
export function eventHashId(event: object, prefixes: Prefixes): string {
  const digest = createHash('sha256').update(preHashString(event, prefixes), 'utf8').digest('hex')
  return `ni:///sha-256;${digest}?ver=CBV2.0`
}

/** Do extensions stand where we do not hash them: inside a sensor element? */
export function isHashable(event: object): boolean {
  const sensors = (event as Json).sensorElementList
  return sensors === undefined || !/"[A-Za-z]\w*:[^"/]+":/.test(JSON.stringify(sensors))
}

/**
 * The text that is hashed. Fields come in the order of the standard; what stands in a list comes in
 * the order of code points; `eventID`, `recordTime`, `errorDeclaration` and `certificationInfo` do
 * not count. Then the master data of new things, extensions inside places, and those of the event.
 */
export function preHashString(event: object, prefixes: Prefixes): string {
  const json = event as Json
  const all = { ...STANDARD_PREFIXES, ...prefixes }
  const standard = fields.map(([name, write]) => (name in json ? write(name, json[name]) : ''))
  const ilmd = isObject(json.ilmd) ? `ilmd${ownWords(json.ilmd, all)}` : ''
  const inPlaces = ['readPoint', 'bizLocation'].map((name) => {
    const own = isObject(json[name]) ? ownWords(json[name], all) : ''
    return own === '' ? '' : `${name}${own}`
  })
  const own = ownWords(json, all)
  return [`eventType=${String(json.type)}`, ...standard, ilmd, ...inPlaces, own].join('')
}

type Write = (name: string, value: unknown) => string

const plain: Write = (name, value) => `${name}=${canonicalValue(value)}`
const time: Write = (name, value) => `${name}=${utcTime(String(value))}`
const word =
  (kind: string, base = CBV): Write =>
  (name, value) =>
    `${name}=${canonicalWord(kind, base, String(value))}`

/** A list whose items are values: its name once, then each item under the name of an item. */
const values =
  (item: string, write: Write = plain): Write =>
  (name, value) =>
    named(name, sorted(listOf(value).map((one) => write(item, one))))

/** A list whose items have fields, each written in the order given and under `item`. */
const items =
  (item: string, order: [string, Write][]): Write =>
  (name, value) =>
    named(
      name,
      sorted(listOf(value).map((one) => `${item}${inOrder(isObject(one) ? one : {}, order)}`)),
    )

const place: Write = (name, value) => {
  return isObject(value) && 'id' in value ? `${name}${plain('id', value.id)}` : ''
}

const quantity = items('quantityElement', [
  ['epcClass', plain],
  ['quantity', plain],
  ['uom', plain],
])

const metadata: [string, Write][] = [
  ...(['time', 'startTime', 'endTime'] as const).map((name): [string, Write] => [name, time]),
  ...['deviceID', 'deviceMetadata', 'rawData', 'dataProcessingMethod', 'bizRules'].map(
    (name): [string, Write] => [name, plain],
  ),
]

const report: [string, Write][] = [
  ['type', word('', GS1_VOC)],
  ['exception', word('SensorAlertType-', GS1_VOC)],
  ...['deviceID', 'deviceMetadata', 'rawData', 'dataProcessingMethod'].map(
    (name): [string, Write] => [name, plain],
  ),
  ['time', time],
  ...['microorganism', 'chemicalSubstance', 'value'].map((name): [string, Write] => [name, plain]),
  ['component', word('Comp-')],
  ...['stringValue', 'booleanValue', 'hexBinaryValue', 'uriValue', 'minValue', 'maxValue'].map(
    (name): [string, Write] => [name, plain],
  ),
  ...['meanValue', 'sDev', 'percRank', 'percValue', 'uom', 'coordinateReferenceSystem'].map(
    (name): [string, Write] => [name, plain],
  ),
]

/** CBV 2.0 writes no name for the list of sensor elements; CBV 2.1 does. */
const sensors: Write = (_, value) =>
  sorted(
    listOf(value).map((one) => {
      const element = isObject(one) ? one : {}
      const about = isObject(element.sensorMetadata)
        ? inOrder(element.sensorMetadata, metadata)
        : ''
      const reports = listOf(element.sensorReport ?? []).map((each) => {
        return `sensorReport${inOrder(isObject(each) ? each : {}, report)}`
      })
      return `sensorElement${about === '' ? '' : `sensorMetadata${about}`}${sorted(reports)}`
    }),
  )

const pair = (kind: string, value: string): [string, Write][] => [
  ['type', word(kind)],
  [value, plain],
]

const disposition = word('Disp-')

const fields: [string, Write][] = [
  ['eventTime', time],
  ['eventTimeZoneOffset', plain],
  ['epcList', values('epc')],
  ['parentID', plain],
  ['inputEPCList', values('epc')],
  ['childEPCs', values('epc')],
  ['quantityList', quantity],
  ['childQuantityList', quantity],
  ['inputQuantityList', quantity],
  ['outputEPCList', values('epc')],
  ['outputQuantityList', quantity],
  ['action', plain],
  ['transformationID', plain],
  ['bizStep', word('BizStep-')],
  ['disposition', disposition],
  [
    'persistentDisposition',
    (name, value) => {
      if (!isObject(value)) return ''
      const each = (part: string) =>
        sorted(listOf(value[part] ?? []).map((one) => disposition(part, one)))
      return named(name, each('set') + each('unset'))
    },
  ],
  ['readPoint', place],
  ['bizLocation', place],
  ['bizTransactionList', items('', pair('BTT-', 'bizTransaction'))],
  ['sourceList', items('', pair('SDT-', 'source'))],
  ['destinationList', items('', pair('SDT-', 'destination'))],
  ['sensorElementList', sensors],
]

function inOrder(object: Json, order: [string, Write][]): string {
  return order.map(([name, write]) => (name in object ? write(name, object[name]) : '')).join('')
}

const named = (name: string, text: string) => (text === '' ? '' : `${name}${text}`)

/** Words with a prefix that the document declares, as `{name space}word`, with what they hold. */
function ownWords(object: Json, prefixes: Prefixes): string {
  const parts = Object.entries(object).flatMap(([name, value]) => {
    const key = ownKey(name, prefixes)
    if (key === null) return []
    return listOf(value).map((one) => {
      return isObject(one) ? `${key}${ownWords(one, prefixes)}` : `${key}=${canonicalValue(one)}`
    })
  })
  return sorted(parts)
}

function ownKey(name: string, prefixes: Prefixes): string | null {
  const colon = name.indexOf(':')
  const space = colon < 0 ? undefined : prefixes[name.slice(0, colon)]
  if (space === undefined || name === 'rdfs:comment') return null
  return `{${space}}${name.slice(colon + 1)}`
}

/** Words of the standard in any of their three spellings, as the full address. */
function canonicalWord(kind: string, base: string, value: string): string {
  const text = value.trim()
  const curie = /^(cbv|gs1):(.+)$/.exec(text)
  if (curie !== null) return `${curie[1] === 'cbv' ? CBV : GS1_VOC}${curie[2]}`
  const urn = /^urn:epcglobal:cbv:[a-z]+:(.+)$/.exec(text)
  if (urn !== null) return `${base}${kind}${urn[1]}`
  return text.includes(':') ? text : `${base}${kind}${text}`
}

/** Numbers and texts that look like plain ones without needless zeros; keys in their one form. */
function canonicalValue(value: unknown): string {
  const text = String(value).trim()
  const decimal = /^([+-]?)(\d+)(?:\.(\d*))?$/.exec(text)
  if (decimal === null) return canonicalKey(text) ?? text
  const [, sign = '', whole = '', fraction = ''] = decimal
  const digits = whole.replace(/^0+(?=\d)/, '')
  const rest = fraction.replace(/0+$/, '')
  const number = rest === '' ? digits : `${digits}.${rest}`
  return sign === '-' && number !== '0' ? `-${number}` : number
}

/** UTC with exactly three decimals; the fourth rounds them. */
function utcTime(text: string): string {
  const match = /^(.*T\d\d:\d\d:\d\d)(?:\.(\d+))?(Z|[+-]\d\d:\d\d)$/i.exec(text.trim())
  if (match === null) return text.trim()
  const [, whole = '', fraction = '', zone = ''] = match
  const start = Date.parse(`${whole}${zone}`)
  if (Number.isNaN(start)) return text.trim()
  const millis = Number(fraction.slice(0, 3).padEnd(3, '0'))
  const up = Number(fraction.slice(3, 4)) >= 5 ? 1 : 0
  return new Date(start + millis + up).toISOString()
}

const isObject = (value: unknown): value is Json =>
  typeof value === 'object' && value !== null && !Array.isArray(value)

const listOf = (value: unknown): unknown[] => (Array.isArray(value) ? value : [value])

/** In the order of code points, which is that of UTF-8 bytes and not that of UTF-16 units. */
function sorted(texts: string[]): string {
  return [...texts]
    .sort((one, other) => Buffer.compare(Buffer.from(one), Buffer.from(other)))
    .join('')
}

/** The prefixes of a document that we write at this host. */
export const ownPrefixes = (nameSpace: string): Prefixes => ({ [OWN_PREFIX]: nameSpace })
