// The worked example in docs/journal-format.md, each number worked out from those before it.
import { createHash, createPublicKey, verify } from 'node:crypto'
import { readFileSync } from 'node:fs'
import { expect, it } from 'vitest'
import { checkConsistency, checkInclusion } from '../../api/journal/merkle.ts'
import { openNote, readKeyText, signersOf } from '../../api/journal/note.ts'

const doc = readFileSync(new URL('../../docs/journal-format.md', import.meta.url), 'utf8')
const [, example = ''] = /## A worked example\n([^]*?)\n## /.exec(doc) ?? []
const [numbers = '', note = ''] = [...example.matchAll(/```\n([^]*?)```/g)].map(([, text]) => text)
const told = new Map(
  numbers
    .trim()
    .split('\n')
    .map((line) => [line.slice(0, 15).trim(), line.slice(15)]),
)
const of = (name: string) => told.get(name) ?? `the document has no ${name}`
const bytes = (name: string) => Buffer.from(of(name), 'hex')
const sha256 = (...parts: (Uint8Array | string)[]) =>
  parts.reduce((hash, part) => hash.update(part), createHash('sha256')).digest()

it('leaves are SHA-256 of a zero byte and the entry', () => {
  for (const nr of [0, 1, 2]) {
    expect(sha256(Uint8Array.of(0), of(`entry ${nr}`)).toString('hex')).toBe(of(`leaf ${nr}`))
  }
})

it('roots are SHA-256 of a one byte and both sides, split as the document says', () => {
  const two = sha256(Uint8Array.of(1), bytes('leaf 0'), bytes('leaf 1'))
  expect(two.toString('hex')).toBe(of('root of 2'))
  const three = sha256(Uint8Array.of(1), two, bytes('leaf 2'))
  expect(three.toString('hex')).toBe(of('root of 3'))
})

it('both proofs hold', () => {
  const root = bytes('root of 3')
  const proof = of('proof of 1')
    .split(' ')
    .map((hash) => Buffer.from(hash, 'hex'))
  expect(checkInclusion({ index: 1, size: 3, leaf: bytes('leaf 1'), proof, root })).toEqual({
    ok: true,
  })
  const before = { before: 2, beforeRoot: bytes('root of 2'), size: 3, root }
  expect(checkConsistency({ ...before, proof: [bytes('proof 2 to 3')] })).toEqual({ ok: true })
})

it('the key has its hash, and its signature fits the note byte for byte', () => {
  const key = bytes('public key')
  const hash = sha256('vines.example\n', Uint8Array.of(1), key).subarray(0, 4).toString('hex')
  expect(hash).toBe(of('key hash'))
  const encoded = Buffer.concat([Uint8Array.of(1), key]).toString('base64')
  expect(of('key')).toBe(`vines.example+${hash}+${encoded}`)
  const [text = '', line = ''] = note.split('\n\n')
  expect(text).toBe(`vines.example\n3\n${bytes('root of 3').toString('base64')}`)
  const [dash, name, signature = ''] = line.trim().split(' ')
  expect([dash, name]).toEqual(['\u2014', 'vines.example'])
  const raw = Buffer.from(signature, 'base64')
  expect(raw.subarray(0, 4).toString('hex')).toBe(hash)
  const spki = Buffer.concat([Buffer.from('302a300506032b6570032100', 'hex'), key])
  const publicKey = createPublicKey({ key: spki, format: 'der', type: 'spki' })
  expect(verify(null, Buffer.from(`${text}\n`), publicKey, raw.subarray(4))).toBe(true)
  expect(signersOf(openNote(note), [readKeyText(of('key'))])).toHaveLength(1)
})
