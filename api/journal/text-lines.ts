// Cuts a stream of bytes into lines of UTF-8 text, without ever holding more than a line.

const lineFeed = 0x0a

/**
 * Yields each line without its line feed. Only a line feed ends a line: other characters that
 * some programs take for line ends may stand inside an entry. A line that is not UTF-8, or longer
 * than `byteLimit` bytes, is told to `damaged` by its number, from 1.
 */
export async function* textLines(
  chunks: AsyncIterable<Uint8Array>,
  byteLimit: number,
  damaged: (what: string) => never,
): AsyncGenerator<string, void, void> {
  const decoder = new TextDecoder('utf-8', { fatal: true, ignoreBOM: true })
  let number = 1
  const decode = (line: Buffer): string => {
    if (line.length > byteLimit) damaged(`line ${number}: longer than any line may be`)
    try {
      return decoder.decode(line)
    } catch {
      return damaged(`line ${number}: not UTF-8 text`)
    }
  }
  let rest = Buffer.alloc(0)
  for await (const chunk of chunks) {
    const bytes = Buffer.concat([rest, chunk])
    let from = 0
    for (let end = bytes.indexOf(lineFeed); end !== -1; end = bytes.indexOf(lineFeed, from)) {
      yield decode(bytes.subarray(from, end))
      number += 1
      from = end + 1
    }
    rest = bytes.subarray(from)
    if (rest.length > byteLimit) decode(rest)
  }
  if (rest.length > 0) yield decode(rest)
}
