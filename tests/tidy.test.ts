// The tree keeps its rules: rings, line lengths, file sizes, opening sentences, no drawers.
import { execFileSync } from 'node:child_process'
import { existsSync, readFileSync } from 'node:fs'
import { dirname, join, normalize } from 'node:path'
import { fileURLToPath } from 'node:url'
import { describe, expect, it } from 'vitest'

const root = fileURLToPath(new URL('..', import.meta.url))
const files = execFileSync('git', ['ls-files', '-co', '--exclude-standard'], {
  cwd: root,
  encoding: 'utf8',
})
  .split('\n')
  .filter((file) => file !== '' && existsSync(join(root, file)))
const code = files.filter((file) => /\.tsx?$/.test(file) && file !== 'db/types.ts')
const textOf = (file: string) => readFileSync(join(root, file), 'utf8')

const lineLimit = 100
const fileLimit = 350

/** What each part of the tree may import, by the first folders of a path. */
const rings: { of: string; may: string[] }[] = [
  { of: 'api/trade/', may: ['api/trade/'] },
  { of: 'api/wire/', may: ['api/wire/', 'api/trade/'] },
  { of: 'db/', may: ['db/'] },
  { of: 'scanner/', may: ['scanner/', 'api/trade/', 'api/wire/'] },
  ...subjects().map((of) => ({
    of,
    may: ['api/trade/', 'api/wire/', 'db/', ...subjects()],
  })),
]

function subjects(): string[] {
  return ['journal', 'lots', 'store', 'grafting', 'sources', 'custody', 'trace', 'labels']
    .concat(['dossier', 'nursery', 'people', 'platform', 'snapshot'])
    .map((name) => `api/${name}/`)
}

describe('the import rule', () => {
  it('a ring imports only itself and the rings below', () => {
    const wrong: string[] = []
    for (const file of code) {
      const ring = rings.find((candidate) => file.startsWith(candidate.of))
      if (ring === undefined) continue
      for (const target of importsOf(file)) {
        if (!ring.may.some((prefix) => target.startsWith(prefix))) wrong.push(`${file}: ${target}`)
      }
    }
    expect(wrong).toEqual([])
  })

  it('trade and wire read no clock, no randomness and no input or output', () => {
    const forbidden = /\bDate\.now\(|new Date\(\)|Math\.random|from 'node:|process\.|\bfetch\(/
    const pure = code.filter((file) => /^api\/(trade|wire)\//.test(file))
    expect(pure.filter((file) => forbidden.test(textOf(file)))).toEqual([])
  })
})

describe('the shape of files', () => {
  it('lines have at most 100 characters', () => {
    const long = code.flatMap((file) =>
      textOf(file)
        .split('\n')
        .flatMap((line, nr) => ([...line].length > lineLimit ? [`${file}:${nr + 1}`] : [])),
    )
    expect(long).toEqual([])
  })

  it('files have at most 350 lines', () => {
    expect(code.filter((file) => textOf(file).split('\n').length - 1 > fileLimit)).toEqual([])
  })

  it('a file opens with a sentence that says what it is for', () => {
    // A file of the phone first says what its TSX is compiled for.
    const opening = /^(#!.*\n|\/\*\* @jsxImportSource preact \*\/\n)?(\/\/ |\/\*\*? )[`A-Z]/
    expect(code.filter((file) => !opening.test(textOf(file)))).toEqual([])
  })

  it('there is no barrel and no drawer', () => {
    expect(code.filter((file) => /^export \* from/m.test(textOf(file)))).toEqual([])
    const drawer = /(^|\/)(utils?|helpers?|common|misc|lib)(\.|\/)/
    expect(files.filter((file) => drawer.test(file))).toEqual([])
  })

  it('the top level holds what the design lists and nothing else', () => {
    const allowed = new Set(
      'README.md DEVELOPERS.md package.json package-lock.json tsconfig.json'.split(' '),
    )
    const folders = new Set('api scanner db tests seed docs'.split(' '))
    const strange = files.filter((file) => {
      const [first = '', ...rest] = file.split('/')
      if (first.startsWith('.')) return false
      return rest.length > 0 ? !folders.has(first) : !allowed.has(first)
    })
    expect(strange).toEqual([])
  })

  it('no test is skipped or focused', () => {
    const marks = /\b(it|test|describe)\.(skip|only|todo)\b/
    const tests = code.filter((file) => file.endsWith('.test.ts') && file !== 'tests/tidy.test.ts')
    expect(tests.filter((file) => marks.test(textOf(file)))).toEqual([])
  })
})

describe('invariants', () => {
  it('every numbered invariant is cited by a test', () => {
    const list = textOf('docs/invariants.md')
    const numbers = [...list.matchAll(/^(\d+)\. /gm)].map((match) => match[1])
    expect(numbers.length).toBeGreaterThanOrEqual(10)
    const tests = code.filter((file) => file.endsWith('.test.ts')).map(textOf)
    const cited = new Set(
      tests.flatMap((text) =>
        [...text.matchAll(/invariants? ((?:\d+(?:, | and )?)+)/gi)].flatMap((match) =>
          (match[1] ?? '').split(/\D+/),
        ),
      ),
    )
    expect(numbers.filter((number) => !cited.has(number ?? ''))).toEqual([])
  })
})

function importsOf(file: string): string[] {
  const specifiers = [...textOf(file).matchAll(/(?:from|import\()\s*'([^']+)'/g)].map(
    (match) => match[1] ?? '',
  )
  return specifiers.flatMap((specifier) => {
    if (specifier.startsWith('#')) return [`api/${specifier.slice(1)}`]
    if (specifier.startsWith('.')) return [normalize(join(dirname(file), specifier))]
    return []
  })
}
