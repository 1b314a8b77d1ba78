// Reads DER (ITU-T X.690) as far as a time stamp needs it: tags, lengths, and what lies inside.

/** One value: its tag's byte, its content, and all its bytes with tag and length. */
export type Der = { tag: number; content: Uint8Array; whole: Uint8Array }

/** Tags by their byte. */
export const derTag = {
  integer: 0x02,
  bitString: 0x03,
  octetString: 0x04,
  objectId: 0x06,
  generalizedTime: 0x18,
  sequence: 0x30,
  set: 0x31,
  context0: 0xa0,
} as const

/** The values that follow one another in these bytes; throws when a length does not fit. */
export function readDer(bytes: Uint8Array): Der[] {
  const found: Der[] = []
  let at = 0
  while (at < bytes.length) {
    const tag = byteAt(bytes, at)
    if ((tag & 0x1f) === 0x1f) throw new Error('it has a tag that no time stamp has')
    const first = byteAt(bytes, at + 1)
    const more = first < 0x80 ? 0 : first & 0x7f
    if (first === 0x80 || more > 3) throw new Error('it has a length that is not of DER')
    let length = more === 0 ? first : 0
    for (let nr = 0; nr < more; nr += 1) length = length * 256 + byteAt(bytes, at + 2 + nr)
    const from = at + 2 + more
    const to = from + length
    if (to > bytes.length) throw new Error('it is cut off')
    found.push({ tag, content: bytes.subarray(from, to), whole: bytes.subarray(at, to) })
    at = to
  }
  return found
}

/** What lies inside a value of this tag; throws when there is none of it. */
export function inside(der: Der | undefined, tag: number): Der[] {
  return readDer(contentOf(der, tag))
}

/** The content of a value of this tag; throws when there is none of it. */
export function contentOf(der: Der | undefined, tag: number): Uint8Array {
  if (der?.tag !== tag) throw new Error('it is not built as a time stamp')
  return der.content
}

/** An OBJECT IDENTIFIER in its dotted form. */
export function objectId(der: Der | undefined): string {
  const parts: number[] = []
  let value = 0
  for (const byte of contentOf(der, derTag.objectId)) {
    value = value * 128 + (byte & 0x7f)
    if (byte >= 0x80) continue
    if (parts.length > 0) parts.push(value)
    else {
      const arc = Math.min(2, Math.floor(value / 40))
      parts.push(arc, value - arc * 40)
    }
    value = 0
  }
  return parts.join('.')
}

function byteAt(bytes: Uint8Array, at: number): number {
  const byte = bytes[at]
  if (byte === undefined) throw new Error('it is cut off')
  return byte
}
