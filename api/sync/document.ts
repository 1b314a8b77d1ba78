// GET /api/openapi.json: the description of the machine API, made from the same shapes it uses.
import type { OpenAPIHono } from '@hono/zod-openapi'
import { z } from 'zod'
import { BATCH_LIMIT } from '#wire/api-entries.ts'
import { EpcisDelivery } from '#wire/api-epcis.ts'
import { ReadingsBatch } from '#wire/api-readings.ts'
import { entryKinds, entrySchema, isEntryKind } from '#wire/entry.ts'
import type { ApiEnv } from './device.ts'

/** Version of the machine API as a whole; a shape that changes raises it. */
export const API_VERSION = '1.0.0'

/** Adds the document; the operations it lists are those added before it is first asked for. */
export function addDocument(api: OpenAPIHono<ApiEnv>): void {
  registerEntries(api)
  const { openAPIRegistry } = api
  openAPIRegistry.registerComponent('securitySchemes', 'device', {
    type: 'http',
    scheme: 'bearer',
    description: 'the token that a machine was given when the office made it known',
  })
  openAPIRegistry.registerComponent('securitySchemes', 'signature', {
    type: 'apiKey',
    in: 'header',
    name: 'Canemark-Signature',
    description:
      'DEVICE NUMBER SIGNATURE: ECDSA on P-256 with SHA-256, in base64url, over the lines ' +
      '"canemark request 1", "METHOD TARGET", "DEVICE NUMBER" and the hexadecimal SHA-256 of the ' +
      'body, each ended by a line feed. NUMBER counts batches upwards; for other requests it is ' +
      'the time in seconds since 1970.',
  })
  let document: string | null = null
  api.get('/openapi.json', (c) => {
    document ??= JSON.stringify(api.getOpenAPI31Document(head))
    return c.body(document, 200, { 'content-type': 'application/json' })
  })
}

const head = {
  openapi: '3.1.0',
  info: {
    title: 'Canemark machine API',
    version: API_VERSION,
    description:
      'For devices that write entries, and for programs that read. Everything written goes ' +
      'through POST /entries; nothing is ever changed or deleted. A phone signs its requests, a ' +
      'machine shows its token; a person who is signed in to the office may read with the browser.',
  },
  servers: [{ url: '/api' }],
  security: [{ device: [] }, { signature: [] }],
}

/** The entry kinds as components, each under its own name, from their zod shapes. */
function registerEntries({ openAPIRegistry }: OpenAPIHono<ApiEnv>): void {
  const kinds = Object.keys(entryKinds).filter(isEntryKind)
  for (const kind of kinds) {
    openAPIRegistry.registerComponent('schemas', kind, jsonSchema(entrySchema(kind)))
  }
  const reference = (kind: string) => `#/components/schemas/${kind}`
  openAPIRegistry.registerComponent('schemas', 'Entry', {
    oneOf: kinds.map((kind) => ({ $ref: reference(kind) })),
    discriminator: {
      propertyName: 'kind',
      mapping: Object.fromEntries(kinds.map((kind) => [kind, reference(kind)])),
    },
  })
  openAPIRegistry.registerComponent('schemas', 'ReadingsBatch', jsonSchema(ReadingsBatch))
  openAPIRegistry.registerComponent('schemas', 'EpcisDelivery', jsonSchema(EpcisDelivery))
  openAPIRegistry.registerComponent('schemas', 'PushBatch', {
    type: 'object',
    example: { entries: [exampleEntry] },
    required: ['entries'],
    additionalProperties: false,
    properties: {
      entries: {
        type: 'array',
        maxItems: BATCH_LIMIT,
        items: { $ref: reference('Entry') },
        description: 'an entry of another shape is set aside and told in the answer',
      },
    },
  })
}

/** An entry as a phone writes it; the id is the example of RFC 9562 appendix A.6. */
const exampleEntry = {
  id: '017f22e2-79b0-7cc3-98c4-dc0c0c07398f',
  kind: 'graft.made',
  v: 1,
  occurredAt: '2027-03-18T09:42:10+01:00',
  device: '0195a7c0-0000-7000-8000-000000000001',
  deviceCounter: 118,
  person: '0195a7c0-0000-7000-8000-000000000002',
  body: {
    vine: { rowId: '0195a7c0-0000-7000-8000-000000000003', position: 34 },
    lotId: '0195a7c0-0000-7000-8000-000000000004',
    bundleId: null,
    from: { kind: 'holder', id: '0195a7c0-0000-7000-8000-000000000002' },
    method: 'chip bud',
    budCount: 2,
    knifeId: null,
    tie: 'tape',
    note: '',
  },
}

/** JSON Schema 2020-12, the dialect of OpenAPI 3.1, without the line that names it. */
function jsonSchema(shape: z.ZodType): object {
  const schema = z.toJSONSchema(shape)
  return Object.fromEntries(Object.entries(schema).filter(([name]) => name !== '$schema'))
}
