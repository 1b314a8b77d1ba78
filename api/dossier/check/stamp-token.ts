// Checks a time stamp (RFC 3161) with WebCrypto: what it stamps, when, and its own signature.
import { contentOf, derTag, inside, objectId, readDer } from './der.ts'
import type { Der } from './der.ts'
import { hex, joined } from './tree-proof.ts'

/** What a stamp says, and whether its signature was checked here. */
export type ReadStamp = {
  stampedAt: string
  authority: string
  /** `unknown way`: signed in a way that browsers do not know, so openssl has to tell. */
  signature: 'holds' | 'unknown way'
}

const oid = {
  signedData: '1.2.840.113549.1.7.2',
  tstInfo: '1.2.840.113549.1.9.16.1.4',
  sha256: '2.16.840.1.101.3.4.2.1',
  contentType: '1.2.840.113549.1.9.3',
  messageDigest: '1.2.840.113549.1.9.4',
  commonName: '2.5.4.3',
  organization: '2.5.4.10',
}
const hashNames: Record<string, string> = {
  [oid.sha256]: 'SHA-256',
  '2.16.840.1.101.3.4.2.2': 'SHA-384',
  '2.16.840.1.101.3.4.2.3': 'SHA-512',
}
const rsa = new Set([
  '1.2.840.113549.1.1.1',
  ...['11', '12', '13'].map((last) => `1.2.840.113549.1.1.${last}`),
])
const ecdsa = new Set(['2', '3', '4'].map((last) => `1.2.840.10045.4.3.${last}`))
const curves: Record<string, { name: string; bytes: number }> = {
  '1.2.840.10045.3.1.7': { name: 'P-256', bytes: 32 },
  '1.3.132.0.34': { name: 'P-384', bytes: 48 },
}

type Parts = { tstInfo: Uint8Array; certificates: Der[]; signer: Der[] }

/**
 * Reads and checks a TimeStampToken over the bytes of `note`. Throws in words when it stamps other
 * bytes, or when its signature does not fit the certificate that comes with it. Whose certificate
 * that is, and whether to trust it, is not asked here.
 */
export async function readStampToken(token: Uint8Array, note: Uint8Array): Promise<ReadStamp> {
  const { tstInfo, certificates, signer } = partsOf(token)
  const [, , imprint, , genTime] = inside(readDer(tstInfo)[0], derTag.sequence)
  const [algorithm, hashed] = inside(imprint, derTag.sequence)
  if (objectId(inside(algorithm, derTag.sequence)[0]) !== oid.sha256) {
    throw new Error('it stamps by another hash than SHA-256')
  }
  const due = hex(await digest('SHA-256', note))
  if (hex(contentOf(hashed, derTag.octetString)) !== due) {
    throw new Error('it stamps other bytes than the note beside it')
  }
  const time = timeOf(contentOf(genTime, derTag.generalizedTime))
  const certificate = certificateOf(certificates, signer[1])
  const signature = await signatureOf(tstInfo, signer, certificate)
  return { stampedAt: time, authority: nameOf(certificate), signature }
}

function partsOf(token: Uint8Array): Parts {
  const [root, ...rest] = readDer(token)
  if (rest.length > 0) throw new Error('it goes on after its end')
  const [type, wrapped] = inside(root, derTag.sequence)
  if (objectId(type) !== oid.signedData) throw new Error('it is not signed data')
  const [signedData] = inside(wrapped, derTag.context0)
  const [, , content, ...more] = inside(signedData, derTag.sequence)
  const [contentType, value] = inside(content, derTag.sequence)
  if (objectId(contentType) !== oid.tstInfo) throw new Error('it is no stamp of time')
  const [octets] = inside(value, derTag.context0)
  const set = more.find(({ tag }) => tag === derTag.context0)
  const [signerInfo, ...others] = inside(more.at(-1), derTag.set)
  if (others.length > 0) throw new Error('it has more than one signer')
  return {
    tstInfo: contentOf(octets, derTag.octetString),
    certificates: set === undefined ? [] : readDer(set.content),
    signer: inside(signerInfo, derTag.sequence),
  }
}

/** `20270601080000Z` with or without parts of a second, as ISO 8601. */
function timeOf(content: Uint8Array): string {
  const text = new TextDecoder().decode(content)
  const form = /^(\d{4})(\d\d)(\d\d)(\d\d)(\d\d)(\d\d)(\.\d{1,9})?Z$/
  const [, year, month, day, hour, minute, second, part = ''] = form.exec(text) ?? []
  if (year === undefined) throw new Error('its time is not written as RFC 3161 asks')
  return `${year}-${month}-${day}T${hour}:${minute}:${second}${part}Z`
}

type Certificate = { issuer: Der; serial: Der; subject: Der; key: Der }

function fieldsOf(certificate: Der): Certificate | null {
  const [body] = inside(certificate, derTag.sequence)
  const fields = inside(body, derTag.sequence)
  const [serial, , issuer, , subject, key] =
    fields[0]?.tag === derTag.context0 ? fields.slice(1) : fields
  if (serial === undefined || issuer === undefined) return null
  return subject === undefined || key === undefined ? null : { issuer, serial, subject, key }
}

/** The one that the signer names by issuer and serial number. */
function certificateOf(certificates: readonly Der[], named: Der | undefined): Certificate {
  const [issuer, serial] = inside(named, derTag.sequence)
  for (const one of certificates) {
    const fields = fieldsOf(one)
    const isIt =
      fields !== null &&
      hex(fields.issuer.whole) === hex(issuer?.whole ?? new Uint8Array()) &&
      hex(fields.serial.whole) === hex(serial?.whole ?? new Uint8Array())
    if (isIt) return fields
  }
  throw new Error('the certificate of its signer did not come with it')
}

/** Name and organisation, as the certificate has them. */
function nameOf({ subject }: Certificate): string {
  const parts = new Map<string, string>()
  for (const set of readDer(subject.content)) {
    for (const pair of readDer(set.content)) {
      const [type, value] = readDer(pair.content)
      parts.set(objectId(type), new TextDecoder().decode(value?.content ?? new Uint8Array()))
    }
  }
  const named = [parts.get(oid.commonName), parts.get(oid.organization)]
  return named.filter((part) => part !== undefined).join(', ') || 'an authority without a name'
}

async function signatureOf(
  tstInfo: Uint8Array,
  signer: readonly Der[],
  { key }: Certificate,
): Promise<ReadStamp['signature']> {
  const [, , hashAlgorithm, attributes, way, value] = signer
  const hash = hashNames[objectId(inside(hashAlgorithm, derTag.sequence)[0])]
  if (hash === undefined) throw new Error('it is signed over a hash that is too weak or unknown')
  const told = inside(attributes, derTag.context0)
  const attribute = (type: string) => {
    const found = told
      .map((one) => inside(one, derTag.sequence))
      .find((one) => objectId(one[0]) === type)
    return inside(found?.[1], derTag.set)[0]
  }
  if (objectId(attribute(oid.contentType)) !== oid.tstInfo) throw new Error('it signs no stamp')
  const digested = contentOf(attribute(oid.messageDigest), derTag.octetString)
  if (hex(digested) !== hex(await digest(hash, tstInfo))) {
    throw new Error('its time or what it stamps was changed after it was signed')
  }
  // RFC 5652 §5.4: what is signed are the attributes as a SET, not as the field that they came in.
  const signed = joined(attributes?.whole ?? new Uint8Array())
  signed[0] = derTag.set
  const signature = contentOf(value, derTag.octetString)
  const algorithm = objectId(inside(way, derTag.sequence)[0])
  const isRight = await isSigned(algorithm, hash, { key, signature, signed })
  if (isRight === null) return 'unknown way'
  if (!isRight) throw new Error('its signature does not fit the certificate that came with it')
  return 'holds'
}

/** Null where this browser does not know the way of signing. */
async function isSigned(
  algorithm: string,
  hash: string,
  of: { key: Der; signature: Uint8Array; signed: Uint8Array },
): Promise<boolean | null> {
  const spki = joined(of.key.whole)
  const signed = joined(of.signed)
  if (rsa.has(algorithm)) {
    const how = { name: 'RSASSA-PKCS1-v1_5', hash }
    const key = await crypto.subtle.importKey('spki', spki, how, false, ['verify'])
    return crypto.subtle.verify(how, key, joined(of.signature), signed)
  }
  const parameters = readDer(readDer(of.key.content)[0]?.content ?? new Uint8Array())[1]
  const curve = parameters?.tag === derTag.objectId ? curves[objectId(parameters)] : undefined
  if (!ecdsa.has(algorithm) || curve === undefined) return null
  const how = { name: 'ECDSA', namedCurve: curve.name }
  const key = await crypto.subtle.importKey('spki', spki, how, false, ['verify'])
  const numbers = inside(readDer(of.signature)[0], derTag.sequence)
  const raw = joined(...numbers.map((one) => padded(contentOf(one, derTag.integer), curve.bytes)))
  return crypto.subtle.verify({ name: 'ECDSA', hash }, key, raw, signed)
}

/** WebCrypto wants the two numbers of ECDSA in a fixed length, DER has them without it. */
function padded(number: Uint8Array, length: number): Uint8Array {
  const bare = number.subarray(number[0] === 0 ? 1 : 0)
  return joined(new Uint8Array(Math.max(0, length - bare.length)), bare)
}

const digest = async (name: string, bytes: Uint8Array) =>
  new Uint8Array(await crypto.subtle.digest(name, joined(bytes)))
