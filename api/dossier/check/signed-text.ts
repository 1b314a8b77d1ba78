// Reads signed notes (C2SP signed-note) and keys, and checks Ed25519 with what the browser has.
import { verifyAsync } from '@noble/ed25519'
import { hex, joined } from './tree-proof.ts'
import type { Sha256 } from './tree-proof.ts'

/** A public key with its name and the four bytes that name it in notes. */
export type Key = { name: string; hash: string; publicKey: Uint8Array; text: string }
type Signature = { name: string; hash: string; bytes: Uint8Array }
/** A note taken apart. */
export type Note = { text: string; signatures: Signature[] }

/** Bytes of base64; throws when it is none, or not written as it would be. */
export function fromBase64(text: string): Uint8Array<ArrayBuffer> {
  const raw = atob(text)
  if (btoa(raw) !== text) throw new Error('this is no proper base64')
  return Uint8Array.from(raw, (character) => character.charCodeAt(0))
}

/** Reads a key written as `name+hash+base64`; throws in words. */
export async function readKey(text: string, sha256: Sha256): Promise<Key> {
  const [, name = '', hash = '', encoded = ''] =
    /^([^\s+]+)\+([0-9a-f]{8})\+([A-Za-z0-9+/]{44})$/.exec(text) ?? []
  if (name === '') throw new Error('a key is not written as a key')
  const bytes = fromBase64(encoded)
  if (bytes.length !== 33 || bytes[0] !== 1) throw new Error('a key is not of Ed25519')
  const named = await sha256(joined(new TextEncoder().encode(`${name}\n`), bytes))
  if (hex(named.subarray(0, 4)) !== hash) throw new Error('a key does not fit its own hash')
  return { name, hash, publicKey: bytes.slice(1), text }
}

/** Takes a note apart; throws in words. */
export function readNote(note: string): Note {
  const end = note.lastIndexOf('\n\n')
  const lines = note.slice(end + 2).split('\n')
  if (end < 0 || lines.pop() !== '' || lines.length === 0) throw new Error('a note is not signed')
  const signatures = lines.map((line): Signature => {
    const [, name = '', encoded = ''] = /^— ([^\s+]+) ([A-Za-z0-9+/]+={0,2})$/.exec(line) ?? []
    const bytes = fromBase64(encoded)
    if (name === '' || bytes.length !== 68) throw new Error('a line of a note is no signature')
    return { name, hash: hex(bytes.subarray(0, 4)), bytes: bytes.slice(4) }
  })
  return { text: note.slice(0, end + 1), signatures }
}

/** Why `key` did not sign the note; null when it did. */
export async function signatureProblem({ text, signatures }: Note, key: Key) {
  const own = signatures.find(({ name, hash }) => name === key.name && hash === key.hash)
  if (own === undefined) return `it is not signed by the key ${key.text}`
  const isSigned = await isEd25519(own.bytes, new TextEncoder().encode(text), key.publicKey)
  return isSigned ? null : 'its text and its signature do not fit: one of the two was changed'
}

/** By the browser itself where it can, else by the small program that comes along. */
async function isEd25519(signature: Uint8Array, text: Uint8Array, key: Uint8Array) {
  try {
    const algorithm = { name: 'Ed25519' }
    const ready = await crypto.subtle.importKey('raw', joined(key), algorithm, false, ['verify'])
    return await crypto.subtle.verify(algorithm, ready, joined(signature), joined(text))
  } catch {
    return verifyAsync(signature, text, key).catch(() => false)
  }
}
