// Checks a whole dossier from its own text: seal, keys, checkpoint, proofs, signatures of phones.
import type { DossierContent, DossierProof } from '../dossier-shape.ts'
import canonicalize from 'canonicalize'
import { checkStamps } from './check-stamps.ts'
import type { CheckedTree } from './check-stamps.ts'
import { fromBase64, readKey, readNote, signatureProblem } from './signed-text.ts'
import type { Key, Note } from './signed-text.ts'
import { hex, joined, ProvenTree } from './tree-proof.ts'

/** One check: did it come out right, and what is so in words. `wrong` names where. */
export type Check = {
  what: string
  result: 'right' | 'wrong' | 'not checked'
  words: string
}

/** What is checked besides the text itself. */
export type CheckOptions = {
  /** The key that the reader knows from elsewhere, as it is printed. */
  trustedKey?: string
  /** A PDF that came with it. */
  pdf?: Uint8Array
}

/** The file taken apart; the content's exact text is what was hashed and sealed. */
export type OpenDossier = { contentText: string; content: DossierContent; seal: string }

const utf8 = new TextEncoder()
const sha256 = async (bytes: Uint8Array) =>
  new Uint8Array(await crypto.subtle.digest('SHA-256', joined(bytes)))

/** Wrong things named before the rest is only counted. */
const NAMED_LIMIT = 5

/** Takes the file apart; throws in words when it is no dossier. */
export function openDossier(file: string): OpenDossier {
  const text = file.endsWith('\n') ? file.slice(0, -1) : file
  const start = '{"dossier":'
  const middle = ',"seal":"'
  const at = text.lastIndexOf(middle)
  if (!text.startsWith(start) || at < 0 || !text.endsWith('}')) {
    throw new Error('this is no dossier: it does not begin and end as one')
  }
  const contentText = text.slice(start.length, at)
  try {
    const content = JSON.parse(contentText) as DossierContent
    const seal = JSON.parse(text.slice(at + middle.length - 1, -1)) as unknown
    if (content.format !== 'canemark dossier 1' || typeof seal !== 'string') throw new Error('no')
    return { contentText, content, seal }
  } catch {
    throw new Error('this is no dossier that this page can read: it is damaged, or of a newer form')
  }
}

/** Checks everything; a step that finds something wrong does not keep the others from going on. */
export async function checkDossier(file: string, options: CheckOptions = {}): Promise<Check[]> {
  let open: OpenDossier
  try {
    open = openDossier(file)
  } catch (error) {
    return [{ what: 'The file', result: 'wrong', words: messageOf(error) }]
  }
  const { proof } = open.content
  const checks: Check[] = []
  const keys = await followed(proof, checks)
  checks.push(trusted(keys, options.trustedKey))
  const seal = await readSeal(open, keys, checks)
  checks.push(await contentCheck(open, seal))
  checks.push(await pdfCheck(seal, options.pdf))
  const tree = await treeOf(proof, keys, checks)
  if (tree !== null) checks.push(await proofs(proof, new ProvenTree(sha256, tree.size, tree.root)))
  const stamps = await checkStamps(proof, keys, tree, sha256)
  if (stamps !== null) checks.push({ what: 'Stamps of time', ...stamps })
  checks.push(await phones(proof))
  return checks
}

async function run(what: string, checks: Check[], work: () => Promise<string>): Promise<boolean> {
  try {
    checks.push({ what, result: 'right', words: await work() })
    return true
  } catch (error) {
    checks.push({ what, result: 'wrong', words: messageOf(error) })
    return false
  }
}

/** The keys, each named by the one before; those after a key that was lost begin anew. */
async function followed({ keys }: DossierProof, checks: Check[]): Promise<Key[]> {
  const read: Key[] = []
  await run('The keys', checks, async () => {
    if (keys.length === 0) throw new Error('there is no key')
    let breaks = 0
    for (const [nr, { key: text, succession }] of keys.entries()) {
      const key = await readKey(text, sha256)
      const before = read[nr - 1]
      if (before !== undefined) {
        if (succession === null) breaks += 1
        else await succeeds(before, key, readNote(succession))
      }
      read.push(key)
    }
    const named = keys.length === 1 ? 'one key' : `${keys.length} keys, each named by the last`
    return breaks === 0 ? named : `${keys.length} keys; ${breaks} came without a note of the last`
  })
  return read
}

async function succeeds(before: Key, key: Key, note: Note): Promise<void> {
  if (!note.text.startsWith(`${key.name}\nnew key ${key.text}\n`)) {
    throw new Error(`the note that should name the key ${key.text} names another`)
  }
  const problem = await signatureProblem(note, before)
  if (problem !== null) throw new Error(`the note that names the key ${key.text}: ${problem}`)
}

function trusted(keys: readonly Key[], told: string | undefined): Check {
  const what = 'Whose key it is'
  const known = told?.trim() ?? ''
  const newest = keys.at(-1)?.text ?? 'none'
  if (known === '') {
    const words =
      `compare ${newest} with the key that you have from the nursery by another way; ` +
      'anybody can make a key of any name'
    return { what, result: 'not checked', words }
  }
  if (keys.some(({ text }) => text === known)) {
    return { what, result: 'right', words: 'it is the key that you gave, or named by it' }
  }
  const words = `the key that you gave is ${known}, and this is signed by ${newest}: another one`
  return { what, result: 'wrong', words }
}

const sealForm = new RegExp(
  '^([^\\n]+)\\ncanemark dossier 1\\n' +
    'content sha256 ([0-9a-f]{64})\\npdf sha256 ([0-9a-f]{64})\\n$',
)

type Seal = { contentSha256: string; pdfSha256: string }

async function readSeal(open: OpenDossier, keys: Key[], checks: Check[]): Promise<Seal | null> {
  let seal: Seal | null = null
  await run('The seal', checks, async () => {
    const note = readNote(open.seal)
    const [, name = '', contentSha256 = '', pdfSha256 = ''] = sealForm.exec(note.text) ?? []
    const key = keys.at(-1)
    if (name === '' || key === undefined || name !== key.name) throw new Error('it is no seal')
    const problem = await signatureProblem(note, key)
    if (problem !== null) throw new Error(`the seal: ${problem}`)
    seal = { contentSha256, pdfSha256 }
    return `signed by ${name}`
  })
  return seal
}

async function contentCheck({ contentText }: OpenDossier, seal: Seal | null): Promise<Check> {
  const what = 'Rules and tables'
  if (seal === null) {
    return { what, result: 'not checked', words: 'there is no seal to hold them against' }
  }
  const own = hex(await sha256(utf8.encode(contentText)))
  if (own === seal.contentSha256) {
    return { what, result: 'right', words: `as they were sealed, SHA-256 ${own}` }
  }
  const words =
    'the text of this dossier was changed after it was sealed; when every entry below is right, ' +
    'the change is in the rules, the tables or the names'
  return { what, result: 'wrong', words }
}

async function pdfCheck(seal: Seal | null, pdf: Uint8Array | undefined): Promise<Check> {
  const what = 'The PDF'
  if (pdf === undefined || seal === null) {
    const words = pdf === undefined ? 'none was given' : 'there is no seal to hold it against'
    return { what, result: 'not checked', words }
  }
  if (hex(await sha256(pdf)) === seal.pdfSha256) {
    return { what, result: 'right', words: 'it is the one that was sealed with this dossier' }
  }
  const words = 'it is not the one that was sealed with this dossier: it was changed, or is another'
  return { what, result: 'wrong', words }
}

async function treeOf(proof: DossierProof, keys: Key[], checks: Check[]) {
  let tree: CheckedTree | null = null
  await run('The checkpoint', checks, async () => {
    const note = readNote(proof.checkpoint)
    const [origin = '', size = '', root = '', ...rest] = note.text.split('\n')
    const key = keys.at(-1)
    if (!/^(0|[1-9]\d{0,14})$/.test(size) || rest.at(-1) !== '' || key === undefined) {
      throw new Error('it is no checkpoint')
    }
    if (origin !== key.name) throw new Error(`it is of another journal, ${origin}`)
    const problem = await signatureProblem(note, key)
    if (problem !== null) throw new Error(`the checkpoint: ${problem}`)
    if (size === '0') throw new Error('it is of size 0: a tree without entries proves none')
    const bytes = fromBase64(root)
    if (bytes.length !== 32) throw new Error(`its root has ${bytes.length} bytes, not 32`)
    tree = { size: Number(size), root: bytes }
    return `${size} entries of ${origin}, root ${hex(bytes)}`
  })
  return tree as CheckedTree | null
}

async function proofs({ entries, hashes }: DossierProof, tree: ProvenTree): Promise<Check> {
  const what = 'Every entry in the signed journal'
  const wrong: string[] = []
  const known = hashes.map((text) => {
    try {
      return fromBase64(text)
    } catch {
      return new Uint8Array()
    }
  })
  let last = -1
  for (const { index, entry, path } of entries) {
    const due = path.map((place) => known[place] ?? new Uint8Array())
    const problem =
      index > last
        ? await tree.problemOf({ index, bytes: utf8.encode(entry), path: due })
        : 'it stands twice, or out of order'
    if (problem !== null) wrong.push(`entry ${index}${kindOf(entry)}: ${problem}`)
    last = index
  }
  if (wrong.length > 0) return { what, result: 'wrong', words: firstOf(wrong) }
  if (entries.length === 0) return { what, result: 'wrong', words: 'there is no entry' }
  return { what, result: 'right', words: `${entries.length} entries, byte for byte` }
}

/** The signatures of phones over their entries, by the keys that the journal itself tells. */
async function phones({ entries }: DossierProof): Promise<Check> {
  const what = 'Signatures of phones'
  const keys = new Map<string, CryptoKey[]>()
  const signed: { index: number; entry: Record<string, unknown> }[] = []
  const wrong: string[] = []
  for (const { index, entry: text } of entries) {
    try {
      const entry = JSON.parse(text) as Record<string, unknown>
      if (entry.kind === 'device.enrolled') await addKey(keys, entry.body)
      if (typeof entry.signature === 'string') signed.push({ index, entry })
    } catch {
      wrong.push(`entry ${index}: it, or the key that it tells, cannot be read`)
    }
  }
  for (const { index, entry } of signed) {
    const isRight = await isSigned(entry, keys.get(String(entry.device)) ?? []).catch(() => false)
    if (!isRight) wrong.push(`entry ${index}: its signature fits no key of its device`)
  }
  if (wrong.length > 0) return { what, result: 'wrong', words: firstOf(wrong) }
  const rest = entries.length - signed.length
  const words = `${signed.length} entries signed; ${rest} by the desk or a machine, not signed`
  return { what, result: 'right', words }
}

const curve = { name: 'ECDSA', namedCurve: 'P-256' }

async function addKey(keys: Map<string, CryptoKey[]>, body: unknown): Promise<void> {
  const { deviceId, publicKey } = body as { deviceId: string; publicKey: string | null }
  if (publicKey === null) return
  const raw = fromBase64Url(publicKey)
  const key = await crypto.subtle.importKey('raw', raw, curve, false, ['verify'])
  keys.set(deviceId, [...(keys.get(deviceId) ?? []), key])
}

async function isSigned(entry: Record<string, unknown>, keys: CryptoKey[]): Promise<boolean> {
  const unsigned = Object.fromEntries(Object.entries(entry).filter(([key]) => key !== 'signature'))
  const text = utf8.encode(`canemark entry 1\n${canonicalize(unsigned)}`)
  const signature = fromBase64Url(String(entry.signature))
  for (const key of keys) {
    const algorithm = { name: 'ECDSA', hash: 'SHA-256' }
    if (await crypto.subtle.verify(algorithm, key, signature, text)) return true
  }
  return false
}

function fromBase64Url(text: string): Uint8Array<ArrayBuffer> {
  const padded = text
    .replaceAll('-', '+')
    .replaceAll('_', '/')
    .padEnd(text.length + 3, '=')
  return fromBase64(padded.slice(0, Math.ceil(text.length / 4) * 4))
}

/** The kind of an entry, in brackets, as far as it can still be read. */
function kindOf(entry: string): string {
  try {
    const { kind } = JSON.parse(entry) as { kind: unknown }
    return typeof kind === 'string' ? ` (${kind})` : ''
  } catch {
    return ''
  }
}

function firstOf(wrong: readonly string[]): string {
  const more = wrong.length - NAMED_LIMIT
  return wrong.slice(0, NAMED_LIMIT).join('; ') + (more > 0 ? `; and ${more} more` : '')
}

const messageOf = (error: unknown) => (error instanceof Error ? error.message : String(error))
