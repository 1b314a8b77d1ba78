// Checks by RFC 9162 §2.1.4.2, with WebCrypto alone, that a later tree extends an earlier one.
import { hex, joined } from './tree-proof.ts'
import type { Sha256 } from './tree-proof.ts'

/** Two trees and the hashes that should lead from the first to the second. */
export type Extension = {
  before: number
  beforeRoot: Uint8Array
  size: number
  root: Uint8Array
  proof: readonly Uint8Array[]
}

const differs = 'the proof does not lead from the stamped journal to this one: one was rewritten'

/** Why the later tree is not shown to extend the earlier one, in words; null when it is. */
export async function extensionProblem(sha256: Sha256, of: Extension): Promise<string | null> {
  const { before, beforeRoot, size, root, proof } = of
  if (before < 1 || before > size) return `it covers ${before} entries, which this journal has not`
  if ([beforeRoot, root, ...proof].some((hash) => hash.length !== 32)) return 'a hash is no hash'
  if (before === size) {
    return proof.length === 0 && hex(beforeRoot) === hex(root) ? null : differs
  }
  const isPower = Number.isInteger(Math.log2(before))
  const [first, ...rest] = isPower ? [beforeRoot, ...proof] : proof
  if (first === undefined) return differs
  let fn = before - 1
  let sn = size - 1
  while (fn % 2 === 1) [fn, sn] = [Math.floor(fn / 2), Math.floor(sn / 2)]
  let earlier: Uint8Array = first
  let later: Uint8Array = first
  for (const hash of rest) {
    if (sn === 0) return differs
    if (fn % 2 === 1 || fn === sn) {
      earlier = await sha256(joined([1], hash, earlier))
      later = await sha256(joined([1], hash, later))
      while (fn % 2 === 0 && fn !== 0) [fn, sn] = [fn / 2, Math.floor(sn / 2)]
    } else {
      later = await sha256(joined([1], later, hash))
    }
    ;[fn, sn] = [Math.floor(fn / 2), Math.floor(sn / 2)]
  }
  const isShown = sn === 0 && hex(earlier) === hex(beforeRoot) && hex(later) === hex(root)
  return isShown ? null : differs
}
