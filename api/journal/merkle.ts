// The tree over the journal by RFC 6962: which hashes prove what, and whether a proof holds.
import { createHash } from 'node:crypto'

/** Bytes of every hash in the tree (SHA-256). */
export const HASH_BYTES = 32
const nodePrefix = Uint8Array.of(0x01)

/** Leaves `from` to `to`, the last one not included; a subtree of the tree they are named in. */
export type Span = { from: number; to: number }

/** A perfect subtree: leaves `index * 2^level` to `(index + 1) * 2^level`. */
export type Node = { level: number; index: number }

/** Whether a proof holds, or why not in words that can follow a colon. */
export type Proven = { ok: true } | { ok: false; problem: string }

/** The root of a tree without leaves: the hash of nothing (RFC 6962 §2.1). */
export function emptyRoot(): Buffer {
  return createHash('sha256').digest()
}

/** SHA-256 of 0x01 and both children (RFC 6962 §2.1). */
export function nodeHash(left: Uint8Array, right: Uint8Array): Buffer {
  return createHash('sha256').update(nodePrefix).update(left).update(right).digest()
}

/** The largest power of two below `count`, which is at least 2: where a tree is split. */
function splitOf(count: number): number {
  let split = 1
  while (split * 2 < count) split *= 2
  return split
}

/** The subtrees whose hashes prove leaf `index` in a tree of `size`, from the leaf upwards. */
export function inclusionSpans(index: number, size: number): Span[] {
  const spans: Span[] = []
  let from = 0
  let to = size
  while (to - from > 1) {
    const middle = from + splitOf(to - from)
    if (index < middle) {
      spans.push({ from: middle, to })
      to = middle
    } else {
      spans.push({ from, to: middle })
      from = middle
    }
  }
  return spans.reverse()
}

/** The subtrees whose hashes prove that a tree of `size` extends that of its first `before`. */
export function consistencySpans(before: number, size: number): Span[] {
  const spans: Span[] = []
  let from = 0
  let to = size
  // While true, the smaller tree itself is a subtree of the larger and need not be told.
  let isWhole = true
  while (to !== before) {
    const middle = from + splitOf(to - from)
    if (before <= middle) {
      spans.push({ from: middle, to })
      to = middle
    } else {
      spans.push({ from, to: middle })
      from = middle
      isWhole = false
    }
  }
  if (!isWhole) spans.push({ from, to })
  return spans.reverse()
}

/** The perfect subtrees that make up a subtree, from left to right; none for no leaves. */
export function nodesOf({ from, to }: Span): Node[] {
  const nodes: Node[] = []
  for (let at = from; at < to;) {
    let level = 0
    while (at + 2 ** (level + 1) <= to && at % 2 ** (level + 1) === 0) level += 1
    nodes.push({ level, index: at / 2 ** level })
    at += 2 ** level
  }
  return nodes
}

/** The hash of a subtree out of the hashes of `nodesOf` it, in that order. */
export function joinNodes(hashes: readonly Uint8Array[]): Buffer {
  const last = hashes.at(-1)
  if (last === undefined) return emptyRoot()
  return hashes
    .slice(0, -1)
    .reduceRight<Buffer>((sum, hash) => nodeHash(hash, sum), Buffer.from(last))
}

/** What is to be proven of one leaf. */
export type Inclusion = {
  index: number
  size: number
  leaf: Uint8Array
  proof: readonly Uint8Array[]
  root: Uint8Array
}

/** Checks an inclusion proof by RFC 9162 §2.1.3.2; every hash must have 32 bytes. */
export function checkInclusion({ index, size, leaf, proof, root }: Inclusion): Proven {
  if (!isCount(size) || !isCount(index)) return no('the index or the size is no whole number')
  if (size === 0) return no('a tree of size 0 holds no entry')
  if (index >= size) return no(`the index ${index} is not below the size ${size}`)
  const due = inclusionSpans(index, size).length
  const wrong = lengthProblem(proof, due) ?? hashProblem([leaf, root, ...proof])
  if (wrong !== null) return no(wrong)
  let fn = index
  let sn = size - 1
  let sum: Uint8Array = leaf
  for (const hash of proof) {
    if (fn % 2 === 1 || fn === sn) {
      sum = nodeHash(hash, sum)
      while (fn % 2 === 0 && fn !== 0) [fn, sn] = [fn / 2, Math.floor(sn / 2)]
    } else {
      sum = nodeHash(sum, hash)
    }
    ;[fn, sn] = [Math.floor(fn / 2), Math.floor(sn / 2)]
  }
  if (sn !== 0) return no('the proof is too short')
  return same(sum, root) ? { ok: true } : no('the proof leads to another root')
}

/** What is to be proven of two trees. */
export type Consistency = {
  before: number
  beforeRoot: Uint8Array
  size: number
  root: Uint8Array
  proof: readonly Uint8Array[]
}

/**
 * Checks by RFC 9162 §2.1.4.2 that the tree of `size` extends that of `before`; every hash must
 * have 32 bytes. A tree of size 0 proves nothing about what came later, and is refused.
 */
export function checkConsistency(of: Consistency): Proven {
  const { before, beforeRoot, size, root, proof } = of
  if (!isCount(before) || !isCount(size)) return no('a size is no whole number')
  if (before === 0) return no('a tree of size 0 proves nothing about a later one')
  if (before > size)
    return no(`the earlier tree is the larger one: ${before} entries, then ${size}`)
  const due = consistencySpans(before, size).length
  const wrong = lengthProblem(proof, due) ?? hashProblem([beforeRoot, root, ...proof])
  if (wrong !== null) return no(wrong)
  if (before === size) return same(beforeRoot, root) ? { ok: true } : no('the roots differ')
  const isPower = Number.isInteger(Math.log2(before)) && 2 ** Math.log2(before) === before
  const [first, ...rest] = isPower ? [beforeRoot, ...proof] : proof
  if (first === undefined) return no('the proof is too short')
  let fn = before - 1
  let sn = size - 1
  while (fn % 2 === 1) [fn, sn] = [Math.floor(fn / 2), Math.floor(sn / 2)]
  let earlier: Uint8Array = first
  let later: Uint8Array = first
  for (const hash of rest) {
    if (sn === 0) return no('the proof is too long')
    if (fn % 2 === 1 || fn === sn) {
      earlier = nodeHash(hash, earlier)
      later = nodeHash(hash, later)
      while (fn % 2 === 0 && fn !== 0) [fn, sn] = [fn / 2, Math.floor(sn / 2)]
    } else {
      later = nodeHash(later, hash)
    }
    ;[fn, sn] = [Math.floor(fn / 2), Math.floor(sn / 2)]
  }
  if (sn !== 0) return no('the proof is too short')
  if (!same(earlier, beforeRoot)) return no('the proof does not lead to the earlier root')
  return same(later, root) ? { ok: true } : no('the proof does not lead to the later root')
}

const no = (problem: string): Proven => ({ ok: false, problem })
const isCount = (number: number) => Number.isSafeInteger(number) && number >= 0
const same = (one: Uint8Array, other: Uint8Array) => Buffer.compare(one, other) === 0

function lengthProblem(proof: readonly Uint8Array[], due: number): string | null {
  if (proof.length === due) return null
  return `the proof has ${proof.length} hashes where ${due} are due`
}

function hashProblem(hashes: readonly Uint8Array[]): string | null {
  const wrong = hashes.find((hash) => hash.length !== HASH_BYTES)
  return wrong === undefined ? null : `a hash has ${wrong.length} bytes, not ${HASH_BYTES}`
}

/** Grows leaf by leaf and tells the root at any moment; memory grows with the logarithm alone. */
export class GrowingTree {
  size = 0
  private readonly parts: { level: number; hash: Buffer }[] = []

  /** Adds the next leaf's hash. */
  add(leaf: Buffer): void {
    let part = { level: 0, hash: leaf }
    for (let last = this.parts.at(-1); last?.level === part.level; last = this.parts.at(-1)) {
      part = { level: part.level + 1, hash: nodeHash(last.hash, part.hash) }
      this.parts.pop()
    }
    this.parts.push(part)
    this.size += 1
  }

  /** The root of the leaves added so far. */
  root(): Buffer {
    return joinNodes(this.parts.map(({ hash }) => hash))
  }
}
