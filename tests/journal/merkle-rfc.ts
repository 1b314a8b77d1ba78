// The definitions of RFC 6962 §2.1 written out as they stand, slow and recursive, for comparison.
import { createHash } from 'node:crypto'

const sha256 = (...parts: Uint8Array[]) => {
  const hash = createHash('sha256')
  for (const part of parts) hash.update(part)
  return hash.digest()
}

/** MTH(D[n]). */
export function treeHash(data: readonly Uint8Array[]): Buffer {
  const [only] = data
  if (only === undefined) return sha256()
  if (data.length === 1) return sha256(Uint8Array.of(0), only)
  const k = below(data.length)
  return sha256(Uint8Array.of(1), treeHash(data.slice(0, k)), treeHash(data.slice(k)))
}

/** PATH(m, D[n]). */
export function path(m: number, data: readonly Uint8Array[]): Buffer[] {
  if (data.length === 1) return []
  const k = below(data.length)
  const [left, right] = [data.slice(0, k), data.slice(k)]
  return m < k ? [...path(m, left), treeHash(right)] : [...path(m - k, right), treeHash(left)]
}

/** PROOF(m, D[n]). */
export function proof(m: number, data: readonly Uint8Array[]): Buffer[] {
  return subproof(m, data, true)
}

function subproof(m: number, data: readonly Uint8Array[], isWhole: boolean): Buffer[] {
  if (m === data.length) return isWhole ? [] : [treeHash(data)]
  const k = below(data.length)
  const [left, right] = [data.slice(0, k), data.slice(k)]
  return m <= k
    ? [...subproof(m, left, isWhole), treeHash(right)]
    : [...subproof(m - k, right, false), treeHash(left)]
}

/** The largest power of two smaller than n. */
function below(n: number): number {
  return 2 ** (Math.ceil(Math.log2(n)) - 1)
}
