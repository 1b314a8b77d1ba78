// Checks the time stamps of a dossier: whose note, when, and that the journal was not rewritten.
import type { DossierProof, ProvenStamp } from '../dossier-shape.ts'
import { extensionProblem } from './consistency.ts'
import { fromBase64, readNote, signatureProblem } from './signed-text.ts'
import type { Key } from './signed-text.ts'
import { readStampToken } from './stamp-token.ts'
import type { Sha256 } from './tree-proof.ts'

/** The tree of the dossier's own checkpoint. */
export type CheckedTree = { size: number; root: Uint8Array }

/** What came of all stamps together. */
export type StampOutcome = { result: 'right' | 'wrong' | 'not checked'; words: string }

const utf8 = new TextEncoder()

/** Null for a dossier without stamps, as all were before there were any. */
export async function checkStamps(
  { timestamps = [] }: DossierProof,
  keys: readonly Key[],
  tree: CheckedTree | null,
  sha256: Sha256,
): Promise<StampOutcome | null> {
  if (timestamps.length === 0) return null
  const words: string[] = []
  const wrong: string[] = []
  let isOpen = false
  for (const stamp of timestamps) {
    try {
      if (tree === null) throw new Error('there is no checkpoint to hold it against')
      const read = await checkOne(stamp, keys, tree, sha256)
      isOpen ||= read.signature !== 'holds'
      words.push(`the first ${stamp.size} entries at ${read.stampedAt} by ${read.authority}`)
    } catch (error) {
      const why = error instanceof Error ? error.message : String(error)
      wrong.push(`the stamp of ${stamp.size} entries: ${why}`)
    }
  }
  if (wrong.length > 0) return { result: 'wrong', words: wrong.join('; ') }
  const said = `stamped, as the stamps say: ${words.join('; ')}.`
  const trust =
    'Whether that authority is to be trusted is yours to say: openssl checks it against ' +
    'certificates that you have, by the recipe in docs/dossier.md'
  return isOpen
    ? {
        result: 'not checked',
        words: `${said} This browser does not know how they are signed: ${trust}`,
      }
    : { result: 'right', words: `${said} Each signature fits the certificate inside. ${trust}` }
}

async function checkOne(
  { size, note: text, token, consistency }: ProvenStamp,
  keys: readonly Key[],
  tree: CheckedTree,
  sha256: Sha256,
) {
  const note = readNote(text)
  const [origin = '', told = '', root = ''] = note.text.split('\n')
  if (told !== String(size)) throw new Error(`its note is of ${told} entries`)
  const problems = await Promise.all(
    keys.filter(({ name }) => name === origin).map((key) => signatureProblem(note, key)),
  )
  if (!problems.includes(null)) {
    throw new Error(`its note: ${problems[0] ?? 'it is of another journal'}`)
  }
  const problem = await extensionProblem(sha256, {
    before: size,
    beforeRoot: fromBase64(root),
    size: tree.size,
    root: tree.root,
    proof: consistency.map(fromBase64),
  })
  if (problem !== null) throw new Error(problem)
  return readStampToken(fromBase64(token), utf8.encode(text))
}
