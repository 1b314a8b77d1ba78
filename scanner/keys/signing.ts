// Signs with the phone's own key, which the browser keeps and never gives out.
import { fingerprint } from '#wire/api-enrol.ts'
import { keyAlgorithm, signAlgorithm } from '#wire/sign.ts'

const text = new TextEncoder()

/** A new key pair: the public half in base64url, the private half fixed to this browser. */
export async function newKeyPair(): Promise<{ publicKey: string; privateKey: CryptoKey }> {
  const pair = await crypto.subtle.generateKey(keyAlgorithm, false, ['sign', 'verify'])
  const raw = await crypto.subtle.exportKey('raw', pair.publicKey)
  return { publicKey: base64url(new Uint8Array(raw)), privateKey: pair.privateKey }
}

/** ECDSA with SHA-256 over the text's UTF-8, as `Signature` in api/wire/sign.ts is written. */
export async function sign(privateKey: CryptoKey, what: string): Promise<string> {
  const signature = await crypto.subtle.sign(signAlgorithm, privateKey, text.encode(what))
  return base64url(new Uint8Array(signature))
}

/** The fingerprint of a public key in base64url, in groups of four, as the office shows it. */
export async function fingerprintOf(publicKey: string): Promise<string> {
  const raw = Uint8Array.from(
    atob(publicKey.replaceAll('-', '+').replaceAll('_', '/')),
    (character) => character.charCodeAt(0),
  )
  return fingerprint(new Uint8Array(await crypto.subtle.digest('SHA-256', raw)))
}

/** SHA-256 of a request's body, in hexadecimal. */
export async function bodyHash(body: Uint8Array<ArrayBuffer>): Promise<string> {
  const digest = new Uint8Array(await crypto.subtle.digest('SHA-256', body))
  return Array.from(digest, (byte) => byte.toString(16).padStart(2, '0')).join('')
}

function base64url(bytes: Uint8Array): string {
  const plain = btoa(String.fromCharCode(...bytes))
  return plain.replaceAll('+', '-').replaceAll('/', '_').replace(/=+$/, '')
}
