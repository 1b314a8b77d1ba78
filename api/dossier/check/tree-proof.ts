// Checks inclusion proofs by RFC 6962 with WebCrypto alone, so that it runs in any browser.

/** Tells SHA-256 of bytes. */
export type Sha256 = (bytes: Uint8Array) => Promise<Uint8Array>

/** A leaf to be proven: its exact bytes, its place, and the hashes of its proof. */
export type Leaf = { index: number; bytes: Uint8Array; path: readonly Uint8Array[] }

/**
 * Checks leaves of one tree. What a first proof has shown of the upper tree is not hashed again
 * for the next one: it must only be the same.
 */
export class ProvenTree {
  /** Hashes of subtrees that are known to lead to the root, by their leaves. */
  private readonly shown = new Map<string, string>()

  constructor(
    private readonly sha256: Sha256,
    private readonly size: number,
    root: Uint8Array,
  ) {
    this.shown.set(nameOf(0, size), hex(root))
  }

  /** Why the proof does not hold, in words that can follow a colon; null when it does. */
  async problemOf({ index, bytes, path }: Leaf): Promise<string | null> {
    const { size } = this
    if (!Number.isSafeInteger(size) || size < 1) return 'a tree of size 0 holds no entry'
    if (!Number.isSafeInteger(index) || index < 0 || index >= size) {
      return `its index is not below the size ${size} of the checkpoint`
    }
    const steps = stepsOf(index, size)
    if (path.length !== steps.length) {
      return `its proof has ${path.length} hashes where ${steps.length} are due`
    }
    const wrong = path.find((hash) => hash.length !== 32)
    if (wrong !== undefined) return `a hash of its proof has ${wrong.length} bytes, not 32`
    return this.walk(index, await this.sha256(joined([0], bytes)), path, steps)
  }

  private async walk(
    index: number,
    leaf: Uint8Array,
    path: readonly Uint8Array[],
    steps: readonly Step[],
  ): Promise<string | null> {
    const met = new Map<string, string>()
    let sum = leaf
    let span = nameOf(index, index + 1)
    let isShown = this.shown.get(span) === hex(sum)
    met.set(span, hex(sum))
    for (const [nr, { sibling, parent, isLeft }] of steps.entries()) {
      const other = path[nr] ?? new Uint8Array()
      if (isShown) {
        if (this.shown.get(sibling) !== hex(other)) return differs
        continue
      }
      met.set(sibling, hex(other))
      sum = await this.sha256(isLeft ? joined([1], other, sum) : joined([1], sum, other))
      span = parent
      const known = this.shown.get(span)
      if (known !== undefined && known !== hex(sum)) return differs
      isShown = known !== undefined
      met.set(span, hex(sum))
    }
    if (!isShown) return differs
    for (const [name, hash] of met) this.shown.set(name, hash)
    return null
  }
}

const differs = 'its bytes and its proof do not lead to the signed root: one of them was changed'

/** One step up: the span of the hash that is told, of what comes out, and on which side it is. */
type Step = { sibling: string; parent: string; isLeft: boolean }

function stepsOf(index: number, size: number): Step[] {
  const steps: Step[] = []
  let from = 0
  let to = size
  while (to - from > 1) {
    let half = 1
    while (half * 2 < to - from) half *= 2
    const middle = from + half
    const parent = nameOf(from, to)
    if (index < middle) {
      steps.push({ sibling: nameOf(middle, to), parent, isLeft: false })
      to = middle
    } else {
      steps.push({ sibling: nameOf(from, middle), parent, isLeft: true })
      from = middle
    }
  }
  return steps.reverse()
}

const nameOf = (from: number, to: number) => `${from} ${to}`

/** Bytes one after the other. */
export function joined(...parts: (Uint8Array | number[])[]): Uint8Array<ArrayBuffer> {
  const bytes = new Uint8Array(parts.reduce((sum, part) => sum + part.length, 0))
  let at = 0
  for (const part of parts) {
    bytes.set(part, at)
    at += part.length
  }
  return bytes
}

const digits = Array.from({ length: 256 }, (_, byte) => byte.toString(16).padStart(2, '0'))

/** Bytes in hexadecimal digits. */
export function hex(bytes: Uint8Array): string {
  let text = ''
  for (const byte of bytes) text += digits[byte]
  return text
}
