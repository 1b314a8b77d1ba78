// Reads the machine API's own description and checks answers against it, with tools from outside.
import { Ajv2020 } from 'ajv/dist/2020.js'
import type { ValidateFunction } from 'ajv/dist/2020.js'
import addFormats from 'ajv-formats'
import type { Schema } from './schema-arbitrary.ts'

export type Parameter = { name: string; in: 'path' | 'query'; required: boolean; schema: Schema }

export type Operation = {
  /** As in `GET /lots/{lotId}`. */
  title: string
  method: string
  path: string
  parameters: Parameter[]
  body: Schema | null
  responses: Record<string, { content?: Record<string, { schema: Schema }> }>
}

type PathItem = Record<
  string,
  {
    parameters?: Parameter[]
    requestBody?: { content: Record<string, { schema: Schema }> }
    responses: Operation['responses']
  }
>

export type Description = {
  paths: Record<string, PathItem>
  servers: { url: string }[]
  components: { schemas: Record<string, Schema> }
}

/** Every operation of the document. */
export function operationsOf(document: Description): Operation[] {
  return Object.entries(document.paths).flatMap(([path, item]) =>
    Object.entries(item).map(([method, operation]) => ({
      title: `${method.toUpperCase()} ${path}`,
      method: method.toUpperCase(),
      path,
      parameters: operation.parameters ?? [],
      body: operation.requestBody?.content['application/json']?.schema ?? null,
      responses: operation.responses,
    })),
  )
}

/** Finds the schema that `#/components/schemas/NAME` leads to. */
export function resolverOf(document: Description): (reference: string) => Schema {
  return (reference) => {
    const schema = document.components.schemas[reference.replace('#/components/schemas/', '')]
    if (schema === undefined) throw new Error(`${reference} leads nowhere`)
    return schema
  }
}

/** Says what in an answer is not as its operation documents it; null when all is. */
export type CheckAnswer = (operation: Operation, answer: Response) => Promise<string | null>

/** A checker that compiles each documented schema once. */
export function answerChecker(document: Description): CheckAnswer {
  const ajv = new Ajv2020({ strict: false, allErrors: false })
  addFormats.default(ajv)
  ajv.addSchema(document, 'api')
  const compiled = new Map<string, ValidateFunction>()
  const validatorAt = (pointer: string) => {
    const before = compiled.get(pointer)
    if (before !== undefined) return before
    const validate = ajv.compile({ $ref: `api#${pointer}` })
    compiled.set(pointer, validate)
    return validate
  }
  return async (operation, answer) => {
    const { status } = answer
    const type = (answer.headers.get('content-type') ?? '').split(';')[0]?.trim() ?? ''
    const documented = operation.responses[status]
    if (documented === undefined) return `status ${status} is not documented`
    if (documented.content?.[type] === undefined) return `${status} as ${type} is not documented`
    const text = await answer.text()
    if (type === 'application/x-ndjson') {
      const isLine = validatorAt('/components/schemas/JournalLine')
      const lines = text.split('\n').slice(0, -1)
      return lines.every((line) => isLine(JSON.parse(line))) ? null : 'a line is no JournalLine'
    }
    const steps = ['paths', operation.path, operation.method.toLowerCase(), 'responses', status]
    const pointer = [...steps, 'content', type, 'schema']
      .map((step) => `/${String(step).replaceAll('~', '~0').replaceAll('/', '~1')}`)
      .join('')
    const validate = validatorAt(pointer)
    const fits = validate(JSON.parse(text))
    return fits ? null : `${status}: ${JSON.stringify(validate.errors)} in ${text.slice(0, 600)}`
  }
}
