// Checks the answer of a time-stamping authority (RFC 3161) before anything of it is believed.
import { createHash, X509Certificate } from 'node:crypto'
import { fromBER, ObjectIdentifier, OctetString, Sequence } from 'asn1js'
import type { BaseBlock } from 'asn1js'
import { Certificate, ContentInfo, SignedData, TimeStampResp, TSTInfo } from 'pkijs'
import type { ExtKeyUsage, SignerInfo } from 'pkijs'
import { pemCertificates } from '../platform/proof-settings.ts'
import { ANSWER_BYTE_LIMIT, sha256Oid } from './stamp-question.ts'

/** A stamp that holds, and what it says; times and names are the stamp's own word. */
export type Stamp = {
  /** The TimeStampToken, byte for byte as it came. */
  token: Buffer
  stampedAt: Date
  authority: string
}

const oid = {
  signedData: '1.2.840.113549.1.7.2',
  tstInfo: '1.2.840.113549.1.9.16.1.4',
  contentType: '1.2.840.113549.1.9.3',
  signingCertificate: '1.2.840.113549.1.9.16.2.12',
  signingCertificateV2: '1.2.840.113549.1.9.16.2.47',
  extendedKeyUsage: '2.5.29.37',
  timeStamping: '1.3.6.1.5.5.7.3.8',
}
/** Hashes by their OIDs. SHA-1 only names a certificate in the old attribute, RFC 5035 §3. */
const hashes: Record<string, string> = {
  [sha256Oid]: 'sha256',
  '2.16.840.1.101.3.4.2.2': 'sha384',
  '2.16.840.1.101.3.4.2.3': 'sha512',
}
/** PKIStatus of RFC 3161 §2.4.2. */
const statusWords = ['granted', 'granted with changes', 'rejected', 'waiting', 'revocation near']
const NAME_LIMIT = 200

/**
 * Reads a TimeStampResp to a question about `note`. Throws an Error in words unless the status is
 * granted, the imprint and the nonce are those asked about, and the signature over the TSTInfo is
 * that of the certificate inside, which is named in the signed attributes, is for time stamps
 * alone and was valid then (RFC 3161 §2.3, §2.4.2). With `authorities`, certificates in PEM, it
 * must also lead to one of them.
 */
export async function checkStampAnswer(
  answer: Buffer,
  asked: { note: string; nonce: Buffer },
  authorities: string | null,
): Promise<Stamp> {
  const token = tokenOf(answer)
  const { signed, info } = openToken(token)
  const nonce = info.nonce === undefined ? null : Buffer.from(info.nonce.valueBlock.valueHexView)
  if (nonce === null || !nonce.equals(asked.nonce)) {
    throw new Error('the stamp does not name our nonce: it is an answer to another question')
  }
  return checkSigned(token, signed, info, asked.note, authorities)
}

/** What a token says of itself, unchecked: for words about one that was checked when it came. */
export function readStampWords(token: Buffer): Omit<Stamp, 'token'> {
  const { signed, info } = openToken(token)
  const [signer] = signed.signerInfos
  if (signer === undefined) throw new Error('the stamp has not one signer')
  return { stampedAt: info.genTime, authority: nameOf(signerCertificate(token, signer)) }
}

/** The TimeStampToken out of an answer; throws in words when there is none. */
export function tokenOf(answer: Buffer): Buffer {
  if (answer.length > ANSWER_BYTE_LIMIT) throw new Error('the answer is too long for a stamp')
  const root = wholeBlock(answer, 'the answer')
  const { status } = readAs('the answer', () => new TimeStampResp({ schema: root }))
  const words = statusWords[status.status] ?? 'unknown'
  if (status.status > 1) {
    const why = (status.statusStrings ?? []).map((one) => printable(one.valueBlock.value))
    const because = why.length > 0 ? `: ${why.join('; ')}` : ''
    throw new Error(`the authority refused: status ${status.status}, ${words}${because}`)
  }
  const token = childrenOf(root)[1]
  if (token === undefined) throw new Error(`the answer says ${words}, but holds no stamp`)
  return Buffer.from(token.valueBeforeDecodeView)
}

type OpenToken = { signed: SignedData; info: TSTInfo }

function openToken(token: Buffer): OpenToken {
  const root = wholeBlock(token, 'the stamp')
  return readAs('the stamp', () => {
    const content = new ContentInfo({ schema: root })
    if (content.contentType !== oid.signedData) throw new Error('it is not signed data')
    const signed = new SignedData({ schema: content.content })
    const { eContentType, eContent } = signed.encapContentInfo
    if (eContentType !== oid.tstInfo || eContent === undefined) throw new Error('it has no TSTInfo')
    return { signed, info: TSTInfo.fromBER(eContent.getValue()) }
  })
}

async function checkSigned(
  token: Buffer,
  signed: SignedData,
  info: TSTInfo,
  note: string,
  authorities: string | null,
): Promise<Stamp> {
  const imprint = createHash('sha256').update(note, 'utf8').digest()
  const { hashAlgorithm, hashedMessage } = info.messageImprint
  const named = Buffer.from(hashedMessage.valueBlock.valueHexView)
  if (hashAlgorithm.algorithmId !== sha256Oid || !named.equals(imprint)) {
    throw new Error('the stamp is about other bytes than this checkpoint’s note')
  }
  const [signer, ...others] = signed.signerInfos
  if (signer === undefined || others.length > 0) throw new Error('the stamp has not one signer')
  if (hashes[signer.digestAlgorithm.algorithmId] === undefined) {
    throw new Error('the stamp is signed over a hash that is not SHA-256, SHA-384 or SHA-512')
  }
  await checkSignature(signed, note)
  const certificate = signerCertificate(token, signer)
  checkAttributes(signer, certificate)
  checkPurpose(certificate)
  checkValidity(certificate, info.genTime)
  if (authorities !== null) await checkChain(signed, note, authorities)
  return { token, stampedAt: info.genTime, authority: nameOf(certificate) }
}

async function checkSignature(signed: SignedData, note: string): Promise<void> {
  const data = arrayBufferOf(Buffer.from(note, 'utf8'))
  const checked = await signed
    .verify({ signer: 0, data, checkChain: false, extendedMode: true })
    .catch((error: unknown) => ({ signatureVerified: false, message: messageOf(error) }))
  if (checked.signatureVerified === true) return
  const why = checked.message === '' ? '' : ` (${printable(checked.message)})`
  throw new Error(`the stamp’s signature does not fit the certificate inside${why}`)
}

async function checkChain(signed: SignedData, note: string, authorities: string): Promise<void> {
  const trustedCerts = pemCertificates(authorities).map((pem) =>
    Certificate.fromBER(new X509Certificate(pem).raw),
  )
  const data = arrayBufferOf(Buffer.from(note, 'utf8'))
  const checked = await signed
    .verify({ signer: 0, data, checkChain: true, trustedCerts, extendedMode: true })
    .catch((error: unknown) => ({ signerCertificateVerified: false, message: messageOf(error) }))
  if (checked.signerCertificateVerified === true) return
  throw new Error(
    `the stamp’s certificate does not lead to one in CANEMARK_STAMP_CA ` +
      `(${printable(checked.message)})`,
  )
}

/** The signer's certificate by the bytes that came, for its hash stands in the attributes. */
function signerCertificate(token: Buffer, { sid }: SignerInfo): X509Certificate {
  const [, wrapped] = childrenOf(wholeBlock(token, 'the stamp'))
  const [signedData] = wrapped === undefined ? [] : childrenOf(wrapped)
  const set = childrenOf(signedData).find(
    ({ idBlock }) => idBlock.tagClass === 3 && idBlock.tagNumber === 0,
  )
  for (const block of childrenOf(set)) {
    const der = Buffer.from(block.valueBeforeDecodeView)
    const certificate = Certificate.fromBER(der)
    const isSigner =
      'issuer' in sid &&
      certificate.issuer.isEqual(sid.issuer) &&
      certificate.serialNumber.isEqual(sid.serialNumber)
    if (isSigner) return new X509Certificate(der)
  }
  throw new Error('the stamp does not hold the certificate of its signer')
}

/** RFC 5652 §11.1 and RFC 5816: the attributes name the content and the signer's certificate. */
function checkAttributes({ signedAttrs }: SignerInfo, certificate: X509Certificate): void {
  const valueOf = (type: string): BaseBlock | undefined =>
    signedAttrs?.attributes.find((one) => one.type === type)?.values[0]
  const contentType = valueOf(oid.contentType)
  const isTstInfo =
    contentType instanceof ObjectIdentifier && contentType.getValue() === oid.tstInfo
  if (!isTstInfo) throw new Error('the stamp’s signature is not one over a TSTInfo')
  const newer = valueOf(oid.signingCertificateV2)
  const named = newer ?? valueOf(oid.signingCertificate)
  const [first] = childrenOf(childrenOf(named)[0])
  const parts = childrenOf(first)
  const algorithm = parts[0] instanceof Sequence ? childrenOf(parts[0])[0] : undefined
  const algorithmId = algorithm instanceof ObjectIdentifier ? algorithm.getValue() : sha256Oid
  const hash = newer === undefined ? 'sha1' : hashes[algorithmId]
  const told = parts.find((part) => part instanceof OctetString)
  const own = hash === undefined ? null : createHash(hash).update(certificate.raw).digest()
  if (told === undefined || own?.equals(told.valueBlock.valueHexView) !== true) {
    throw new Error('the stamp’s signature does not name its certificate')
  }
}

/** RFC 3161 §2.3: the key is for time stamps alone, and the certificate says so critically. */
function checkPurpose({ raw }: X509Certificate): void {
  const extension = Certificate.fromBER(raw).extensions?.find(
    ({ extnID }) => extnID === oid.extendedKeyUsage,
  )
  const purposes = (extension?.parsedValue as ExtKeyUsage | undefined)?.keyPurposes ?? []
  if (extension?.critical === true && purposes.join() === oid.timeStamping) return
  throw new Error('the stamp’s certificate is not one for time stamps alone')
}

function checkValidity({ validFrom, validTo }: X509Certificate, at: Date): void {
  if (at >= new Date(validFrom) && at <= new Date(validTo)) return
  throw new Error(`the stamp’s certificate was not valid at ${at.toISOString()}, its own time`)
}

function nameOf({ subject }: X509Certificate): string {
  const parts = ['CN', 'O'].flatMap((key) => {
    const line = subject.split('\n').find((one) => one.startsWith(`${key}=`))
    return line === undefined ? [] : [line.slice(key.length + 1)]
  })
  return printable(parts.join(', ')) || 'an authority without a name'
}

function wholeBlock(bytes: Buffer, what: string): BaseBlock {
  const { offset, result } = readAs(what, () => fromBER(arrayBufferOf(bytes)))
  if (offset !== -1 && offset === bytes.length) return result
  throw new Error(`${what} is no DER, is cut off, or goes on after its end`)
}

function readAs<T>(what: string, read: () => T): T {
  try {
    return read()
  } catch (error) {
    throw new Error(`${what} cannot be read as RFC 3161 asks: ${printable(messageOf(error))}`)
  }
}

function childrenOf(block: BaseBlock | undefined): BaseBlock[] {
  const { value } = (block?.valueBlock ?? {}) as { value?: unknown }
  return Array.isArray(value) ? (value as BaseBlock[]) : []
}

/** On one line, without what does not print, and not for ever. */
function printable(text: string): string {
  return text
    .replace(/[\s\p{C}]+/gu, ' ')
    .trim()
    .slice(0, NAME_LIMIT)
}

function arrayBufferOf(bytes: Buffer): ArrayBuffer {
  return new Uint8Array(bytes).buffer
}

const messageOf = (error: unknown) => (error instanceof Error ? error.message : String(error))
