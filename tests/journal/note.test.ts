// Notes and checkpoints have the published form, and a changed one is refused in words.
import { createPrivateKey, createPublicKey, generateKeyPairSync, sign } from 'node:crypto'
import { createRequire } from 'node:module'
import { describe, expect, it } from 'vitest'
import { checkpointText, readCheckpoint } from '../../api/journal/checkpoint.ts'
import {
  keyText,
  noteKey,
  noteOf,
  openNote,
  readKeyText,
  signersOf,
} from '../../api/journal/note.ts'

/** RFC 8032 §7.1, TEST 1: the secret and the public key. */
const secret = createPrivateKey({
  key: Buffer.from(
    '302e020100300506032b657004220420' +
      '9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60',
    'hex',
  ),
  format: 'der',
  type: 'pkcs8',
})
const publicKey = Buffer.from(
  'd75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a',
  'hex',
)
const key = noteKey('vines.example/journal', publicKey)
const root = Buffer.from('5dc9da79a70659a9ad559cb701ded9a2ab9d823aad2f4960cfe370eff4604328', 'hex')
const text = checkpointText({ origin: key.name, size: 8, root })
const signature = sign(null, Buffer.from(text), secret)
const note = noteOf(text, [{ name: key.name, keyHash: key.keyHash, signature }])

describe('a note', () => {
  it('has the key hash of C2SP signed-note, on the key that its specification shows', () => {
    // The key, name and hash of the example in C2SP signed-note, which Go's sumdb/note has too.
    const example = readKeyText(
      'PeterNeumann+c74f20a3+ARpc2QcUPDhMQegwxbzhKqiBfsVkmqq/LDE4izWy10TW',
    )
    expect(example.keyHash.toString('hex')).toBe('c74f20a3')
    expect(keyText(example)).toBe(
      'PeterNeumann+c74f20a3+ARpc2QcUPDhMQegwxbzhKqiBfsVkmqq/LDE4izWy10TW',
    )
    const published =
      'If you think cryptography is the answer to your problem,\n' +
      "then you don't know what your problem is.\n\n" +
      '— PeterNeumann x08go/ZJkuBS9UG/SffcvIAQxVBtiFupLLr8pAcElZInNIuGUgYN1FFYC2pZSNXgKvq' +
      'fqdngotpRZb6KE6RyyBwJnAM=\n'
    expect(signersOf(openNote(published), [example])).toEqual([example])
    const changed = published.replace('your problem,', 'their problem,')
    expect(() => signersOf(openNote(changed), [example])).toThrow(/does not fit the text/)
  })

  it('is its text, an empty line and a dash, name and signature on each line', () => {
    expect(note).toBe(
      `vines.example/journal\n8\n${root.toString('base64')}\n\n` +
        `— vines.example/journal ${Buffer.concat([key.keyHash, signature]).toString('base64')}\n`,
    )
    expect(openNote(note).text).toBe(text)
    expect(signersOf(openNote(note), [key])).toEqual([key])
    expect(readCheckpoint(text)).toEqual({ origin: key.name, size: 8, root })
  })

  it('is read the same by a second program, which finds the same root, size and signer', () => {
    type Log = { logID: Buffer; baseURL: string; publicKey: ReturnType<typeof createPublicKey> }
    type Second = {
      verifyCheckpoint: (entry: object, logs: Log[]) => { logSize: bigint; logHash: Buffer }
    }
    const load = createRequire(import.meta.url)
    const second = load('@sigstore/verify/dist/tlog/checkpoint.js') as Second
    const log = { logID: key.keyHash, baseURL: key.name, publicKey: createPublicKey(secret) }
    const entry = (envelope: string) => ({ inclusionProof: { checkpoint: { envelope } } })
    const read = second.verifyCheckpoint(entry(note), [log])
    expect(read).toMatchObject({ origin: key.name, logSize: 8n, logHash: root })
    expect(() => second.verifyCheckpoint(entry(note.replace('\n8\n', '\n9\n')), [log])).toThrow()
  })

  it('of strangers counts for nothing, and does no harm beside ours', () => {
    const other = generateKeyPairSync('ed25519')
    const raw = other.publicKey.export({ format: 'der', type: 'spki' }).subarray(12)
    const stranger = noteKey('other.example', raw)
    const theirs = {
      name: stranger.name,
      keyHash: stranger.keyHash,
      signature: sign(null, Buffer.from(text), other.privateKey),
    }
    const both = noteOf(text, [theirs, { name: key.name, keyHash: key.keyHash, signature }])
    expect(signersOf(openNote(noteOf(text, [theirs])), [key])).toEqual([])
    expect(signersOf(openNote(both), [key])).toEqual([key])
    expect(signersOf(openNote(both), [key, stranger])).toEqual([stranger, key])
    // The same hash under our name, another signature: somebody tried.
    const forged = noteOf(text, [{ ...theirs, name: key.name, keyHash: key.keyHash }])
    expect(() => signersOf(openNote(forged), [key])).toThrow(/does not fit the text/)
  })

  it.each([
    ['without an empty line', note.replace('\n\n', '\n')],
    ['without a signature', `${text}\n`],
    ['cut short', note.slice(0, -1)],
    ['with a hyphen for the dash', note.replace('—', '-')],
    ['with a carriage return', note.replaceAll('\n', '\r\n')],
    ['with a signature that is no base64', note.replace(/.{6}\n$/, '!!!!!!\n')],
    ['with a signature of four bytes', `${text}\n— vines.example/journal AAAAAA==\n`],
    ['that never ends', `${'long\n'.repeat(20_000)}\n— a AAAAAAAA\n`],
  ])('%s is refused', (_, wrong) => {
    expect(() => openNote(wrong)).toThrow(/note|signature/)
  })

  it.each([
    ['no size', 'a\nb\nAA==\n'],
    ['a size with a leading zero', `a\n08\n${root.toString('base64')}\n`],
    ['a negative size', `a\n-8\n${root.toString('base64')}\n`],
    ['a short root', 'a\n8\nAA==\n'],
    ['a root that is no base64', `a\n8\n${'*'.repeat(44)}\n`],
    ['no name', `\n8\n${root.toString('base64')}\n`],
    ['an empty line', `a\n8\n${root.toString('base64')}\n\n`],
    ['no last line feed', `a\n8\n${root.toString('base64')}`],
  ])('%s is no checkpoint', (_, wrong) => {
    expect(() => readCheckpoint(wrong)).toThrow(/checkpoint/)
  })

  it.each(['', 'name', `${keyText(key)}x`, keyText(key).replace(/\+..../, '+0000')])(
    'a key written wrong is refused: %s',
    (wrong) => {
      expect(() => readKeyText(wrong)).toThrow(/key/)
    },
  )
})
