// Turns the bytes of an uploaded CSV file into text and says which encoding they were in.
import { CSV_BYTES_LIMIT, type CsvEncoding, type CsvProblem } from './block-csv-types.ts'

export type DecodedCsv =
  | { ok: true; text: string; encoding: CsvEncoding; notes: string[] }
  | { ok: false; problem: CsvProblem }

/** The largest file, in bytes, and what to do about a larger one. */
export type SizeLimit = { bytes: number; remedy: string }

const blockLimit: SizeLimit = {
  bytes: CSV_BYTES_LIMIT,
  remedy: 'Save only the sheet with this block’s rows, or split the block into several files.',
}

/**
 * Recognises UTF-8 (with or without byte order mark), UTF-16 with byte order mark, and takes
 * what is neither as Windows-1252. Refuses what is too large, empty or no text.
 */
export function decodeCsv(bytes: Uint8Array, limit: SizeLimit = blockLimit): DecodedCsv {
  if (bytes.length === 0) {
    return refused('The file is empty.', 'Save the sheet again as CSV and choose that file.')
  }
  if (bytes.length > limit.bytes) return refusedSize(bytes.length, limit)
  const foreign = foreignFormat(bytes)
  if (foreign !== null) {
    return refused(
      `This is ${foreign}, not a CSV file.`,
      'Open it in the spreadsheet and save it with “Save as”, type “Text CSV” (UTF-8).',
    )
  }
  const decoded = decodeText(bytes)
  if (decoded.ok && decoded.text.includes('\0')) {
    return refused(
      'The file holds null characters: it is no text, or UTF-16 without a byte order mark.',
      'Save the sheet again as CSV with the character set UTF-8.',
    )
  }
  if (decoded.ok && decoded.text.trim() === '') {
    return refused('The file holds only blank lines.', 'Save the sheet that holds the rows as CSV.')
  }
  return decoded
}

function decodeText(bytes: Uint8Array): DecodedCsv {
  if (startsWith(bytes, [0xef, 0xbb, 0xbf])) {
    const text = strictDecode('utf-8', bytes)
    if (text !== null) return decodedAs(text, 'UTF-8 with byte order mark', [])
    return damaged('UTF-8')
  }
  if (startsWith(bytes, [0xff, 0xfe])) return decodeUtf16('utf-16le', bytes)
  if (startsWith(bytes, [0xfe, 0xff])) return decodeUtf16('utf-16be', bytes)
  const text = strictDecode('utf-8', bytes)
  if (text !== null) return decodedAs(text, 'UTF-8', [])
  return decodedAs(decodeWindows1252(bytes), 'Windows-1252', [
    'The file is not UTF-8. It was read as Windows-1252: check the accented letters below.',
  ])
}

function decodeUtf16(label: 'utf-16le' | 'utf-16be', bytes: Uint8Array): DecodedCsv {
  const text = strictDecode(label, bytes)
  if (text === null) return damaged('UTF-16')
  const encoding = label === 'utf-16le' ? 'UTF-16 little-endian' : 'UTF-16 big-endian'
  return decodedAs(text, encoding, [`The file was read as ${encoding}, as its first bytes say.`])
}

function strictDecode(label: string, bytes: Uint8Array): string | null {
  try {
    return new TextDecoder(label, { fatal: true }).decode(bytes)
  } catch (error) {
    if (error instanceof TypeError) return null
    throw error
  }
}

// Bytes 0x80–0x9F of Windows-1252, from the WHATWG Encoding Standard, index windows-1252. Written
// out because the TextDecoder of some Node releases reads this encoding as Latin-1.
const highControls = [
  0x20ac, 0x81, 0x201a, 0x192, 0x201e, 0x2026, 0x2020, 0x2021, 0x2c6, 0x2030, 0x160, 0x2039, 0x152,
  0x8d, 0x17d, 0x8f, 0x90, 0x2018, 0x2019, 0x201c, 0x201d, 0x2022, 0x2013, 0x2014, 0x2dc, 0x2122,
  0x161, 0x203a, 0x153, 0x9d, 0x17e, 0x178,
]

function decodeWindows1252(bytes: Uint8Array): string {
  const parts: string[] = []
  for (const byte of bytes) {
    parts.push(String.fromCharCode(highControls[byte - 0x80] ?? byte))
  }
  return parts.join('')
}

const foreignSignatures: readonly [number[], string][] = [
  [[0x50, 0x4b, 0x03, 0x04], 'a spreadsheet or archive (.xlsx, .ods or .zip)'],
  [[0xd0, 0xcf, 0x11, 0xe0], 'an old spreadsheet (.xls)'],
  [[0x25, 0x50, 0x44, 0x46], 'a PDF'],
]

function foreignFormat(bytes: Uint8Array): string | null {
  const found = foreignSignatures.find(([signature]) => startsWith(bytes, signature))
  return found === undefined ? null : found[1]
}

function startsWith(bytes: Uint8Array, signature: readonly number[]): boolean {
  return signature.every((byte, index) => bytes[index] === byte)
}

function decodedAs(text: string, encoding: CsvEncoding, notes: string[]): DecodedCsv {
  return { ok: true, text, encoding, notes }
}

function damaged(encoding: string): DecodedCsv {
  return refused(
    `The file says it is ${encoding}, but some of its bytes are not.`,
    'Save the sheet again as CSV with the character set UTF-8.',
  )
}

function refusedSize(size: number, limit: SizeLimit): DecodedCsv {
  const megabytes = (size / 1024 / 1024).toFixed(1)
  return refused(
    `The file has ${megabytes} MB; at most ${limit.bytes / 1024 / 1024} MB are read.`,
    limit.remedy,
  )
}

function refused(message: string, remedy: string): DecodedCsv {
  return { ok: false, problem: { line: null, column: null, value: '', message, remedy } }
}
