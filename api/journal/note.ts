// Signed notes in the form of C2SP signed-note: a text, an empty line, and lines of signatures.
import { createHash, createPublicKey, verify } from 'node:crypto'

/** A key that signs notes, by its public half: 32 bytes of Ed25519 (RFC 8032). */
export type NoteKey = { name: string; keyHash: Buffer; publicKey: Buffer }

/** One line below a note. */
export type NoteSignature = { name: string; keyHash: Buffer; signature: Buffer }

/** A note taken apart; nothing is verified yet. `text` ends with a line feed. */
export type OpenNote = { text: string; signatures: NoteSignature[] }

/** Largest note, and most signatures on one, that are read. */
const NOTE_BYTE_LIMIT = 64 * 1024
const SIGNATURE_LIMIT = 100
/** The byte that C2SP signed-note gives to Ed25519. */
const ED25519 = Uint8Array.of(0x01)
/** Before 32 raw bytes it makes an Ed25519 key in the form SPKI (RFC 8410 §4). */
const spkiPrefix = Buffer.from('302a300506032b6570032100', 'hex')

/** The first four bytes of SHA-256 over name, line feed, 0x01 and the public key. */
export function keyHashOf(name: string, publicKey: Uint8Array): Buffer {
  const hash = createHash('sha256').update(`${name}\n`, 'utf8').update(ED25519).update(publicKey)
  return hash.digest().subarray(0, 4)
}

/** A key by its name and its 32 bytes. Throws when the name cannot stand in a note. */
export function noteKey(name: string, publicKey: Buffer): NoteKey {
  if (!/^[^\s+\p{C}]{1,200}$/u.test(name)) throw new Error(`"${name}" cannot be a key's name`)
  if (publicKey.length !== 32) throw new Error(`a key has 32 bytes, not ${publicKey.length}`)
  return { name, keyHash: keyHashOf(name, publicKey), publicKey }
}

/** A public key as people hand it on: `name+hash in hex+base64 of 0x01 and the key`. */
export function keyText({ name, keyHash, publicKey }: NoteKey): string {
  const key = Buffer.concat([ED25519, publicKey]).toString('base64')
  return `${name}+${keyHash.toString('hex')}+${key}`
}

/** Reads what `keyText` writes; throws an Error that says what is wrong with it. */
export function readKeyText(text: string): NoteKey {
  const [, name = '', hash = '', encoded = ''] =
    /^([^\s+]{1,200})\+([0-9a-f]{8})\+([A-Za-z0-9+/]{44})$/.exec(text.trim()) ?? []
  const bytes = Buffer.from(encoded, 'base64')
  if (bytes.length !== 33 || bytes[0] !== ED25519[0]) {
    throw new Error('this is no public key; it looks like name+0123abcd+AQ…')
  }
  const key = noteKey(name, bytes.subarray(1))
  if (key.keyHash.toString('hex') !== hash) {
    throw new Error(`the key does not fit its own hash ${hash}: a character of it is wrong`)
  }
  return key
}

/** The note of `text`, which ends with a line feed, under these signatures. */
export function noteOf(text: string, signatures: readonly NoteSignature[]): string {
  const lines = signatures.map(({ name, keyHash, signature }) => {
    return `— ${name} ${Buffer.concat([keyHash, signature]).toString('base64')}\n`
  })
  return `${text}\n${lines.join('')}`
}

/** Takes a note apart; throws an Error that says what is wrong with its form. */
export function openNote(note: string): OpenNote {
  if (Buffer.byteLength(note, 'utf8') > NOTE_BYTE_LIMIT) throw new Error('the note is too long')

  if (/[\u0000-\u0009\u000b-\u001f\ud800-\udfff\ufffd]/u.test(note)) {
    throw new Error('the note holds characters that no note may hold')
  }
  const end = note.lastIndexOf('\n\n')
  if (end < 0) throw new Error('the note has no empty line before its signatures')
  const lines = note.slice(end + 2).split('\n')
  if (lines.pop() !== '') throw new Error('the note does not end with a line feed')
  if (lines.length === 0) throw new Error('the note is not signed')
  if (lines.length > SIGNATURE_LIMIT) throw new Error('the note has too many signatures')
  return { text: note.slice(0, end + 1), signatures: lines.map(readSignature) }
}

function readSignature(line: string): NoteSignature {
  const [, name = '', encoded = ''] = /^— ([^\s+]+) ([A-Za-z0-9+/]+={0,2})$/.exec(line) ?? []
  const bytes = Buffer.from(encoded, 'base64')
  if (bytes.length < 5 || bytes.toString('base64') !== encoded) {
    throw new Error('a line below the note is no signature')
  }
  return { name, keyHash: bytes.subarray(0, 4), signature: bytes.subarray(4) }
}

/**
 * Which of `keys` signed the note. Signatures of other keys are passed over, as C2SP asks; one
 * under the name and hash of a known key that does not fit it makes the whole note wrong: throws.
 */
export function signersOf({ text, signatures }: OpenNote, keys: readonly NoteKey[]): NoteKey[] {
  return signatures.flatMap(({ name, keyHash, signature }) => {
    const key = keys.find((known) => known.name === name && known.keyHash.equals(keyHash))
    if (key === undefined) return []
    if (!isSigned(key, text, signature)) {
      throw new Error(`the signature of ${name} does not fit the text: one of the two was changed`)
    }
    return [key]
  })
}

function isSigned(key: NoteKey, text: string, signature: Buffer): boolean {
  if (signature.length !== 64) return false
  const spki = Buffer.concat([spkiPrefix, key.publicKey])
  const publicKey = createPublicKey({ key: spki, format: 'der', type: 'spki' })
  return verify(null, Buffer.from(text, 'utf8'), publicKey, signature)
}
