// A time-stamping authority for tests: openssl's own (`openssl ts -reply`) behind a small server.
import { execFileSync } from 'node:child_process'
import { createServer } from 'node:http'
import type { Server, ServerResponse } from 'node:http'
import type { AddressInfo } from 'node:net'
import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import path from 'node:path'

/** How the authority answers; all but `good` are wrong in one way. */
export const badAnswers = [
  'rejected',
  'other nonce',
  'other imprint',
  'no certificate',
  'changed',
  'changed time',
  'cut off',
  'longer',
  'garbage',
  'empty',
  'too long',
  'status 500',
  'redirect',
  'silent',
  'half',
] as const
export type Answer = 'good' | (typeof badAnswers)[number]

export type StampAuthority = {
  url: string
  folder: string
  /** The file of its root certificate, and that certificate in PEM. */
  caFile: string
  ca: string
  /** Questions as they came, DER. */
  questions: Buffer[]
  answerAs: (answer: Answer) => void
  close: () => Promise<void>
}

/** Runs openssl in a folder; throws with its words when it fails. */
export function openssl(folder: string, ...args: string[]): string {
  return execFileSync('openssl', args, { cwd: folder, encoding: 'utf8', stdio: 'pipe' })
}

/** Makes a root, a certificate for time stamps (RFC 3161 §2.3), and listens on loopback. */
export async function stampAuthority(name = 'Stamps of the test'): Promise<StampAuthority> {
  const folder = await mkdtemp(path.join(tmpdir(), 'canemark-stamps-'))
  await makeCertificates(folder, name)
  let answer: Answer = 'good'
  const questions: Buffer[] = []
  const server = createServer((request, response) => {
    const parts: Buffer[] = []
    request.on('data', (part: Buffer) => parts.push(part))
    request.on('end', () => {
      const question = Buffer.concat(parts)
      questions.push(question)
      reply(folder, answer, question, response).catch(() => response.destroy())
    })
  })
  await new Promise<void>((resolve) => server.listen(0, '127.0.0.1', resolve))
  const caFile = path.join(folder, 'ca.pem')
  return {
    url: `http://127.0.0.1:${(server.address() as AddressInfo).port}/tsa`,
    folder,
    caFile,
    ca: await readFile(caFile, 'utf8'),
    questions,
    answerAs: (next) => {
      answer = next
    },
    close: () => closed(server, folder),
  }
}

async function closed(server: Server, folder: string): Promise<void> {
  server.closeAllConnections()
  await new Promise((resolve) => server.close(resolve))
  await rm(folder, { recursive: true, force: true })
}

async function makeCertificates(folder: string, name: string): Promise<void> {
  const config = (digests: string) => `
[req]
distinguished_name = dn
[dn]
[ca]
basicConstraints = critical, CA:true
keyUsage = critical, keyCertSign
subjectKeyIdentifier = hash
[tsa_cert]
basicConstraints = critical, CA:false
keyUsage = critical, digitalSignature
extendedKeyUsage = critical, timeStamping
[tsa]
default_tsa = tsa_config
[tsa_config]
serial = serial
signer_cert = tsa.pem
signer_key = tsa.key
certs = ca.pem
signer_digest = sha256
default_policy = 1.2.3.4.1
digests = ${digests}
accuracy = secs:1
ess_cert_id_alg = sha256
`
  await writeFile(path.join(folder, 'ts.cnf'), config('sha256'))
  await writeFile(path.join(folder, 'rejecting.cnf'), config('sha512'))
  await writeFile(path.join(folder, 'serial'), '01\n')
  const made = ['-nodes', '-newkey', 'rsa:2048', '-config', 'ts.cnf']
  const root = ['-x509', '-days', '3650', '-extensions', 'ca', '-subj', '/CN=Root of the test']
  openssl(folder, 'req', ...made, ...root, '-keyout', 'ca.key', '-out', 'ca.pem')
  const subject = ['-subj', `/O=Test nursery/CN=${name}`]
  openssl(folder, 'req', ...made, ...subject, '-keyout', 'tsa.key', '-out', 'tsa.csr')
  const signed = ['-req', '-in', 'tsa.csr', '-CA', 'ca.pem', '-CAkey', 'ca.key', '-days', '3650']
  const as = ['-set_serial', '7', '-extfile', 'ts.cnf', '-extensions', 'tsa_cert']
  openssl(folder, 'x509', ...signed, ...as, '-out', 'tsa.pem')
}

async function reply(
  folder: string,
  answer: Answer,
  question: Buffer,
  response: ServerResponse,
): Promise<void> {
  const head = { 'content-type': 'application/timestamp-reply' }
  if (answer === 'silent') return
  if (answer === 'status 500') return void response.writeHead(500).end('out of order')
  if (answer === 'redirect') return void response.writeHead(302, { location: '/other' }).end()
  const body = await bodyOf(folder, answer, question)
  if (answer !== 'half') return void response.writeHead(200, head).end(body)
  response.writeHead(200, { ...head, 'content-length': body.length })
  response.write(body.subarray(0, 200))
}

async function bodyOf(folder: string, answer: Answer, question: Buffer): Promise<Buffer> {
  if (answer === 'garbage') return Buffer.from('<html>Welcome to the hotel network</html>')
  if (answer === 'empty') return Buffer.alloc(0)
  if (answer === 'too long') return Buffer.alloc(80_000, 0x30)
  const good = await stamped(folder, asked(answer, question), answer)
  if (answer === 'changed') return flipped(good, good.length - 20)
  if (answer === 'changed time') return flipped(good, good.indexOf('Z\x30') - 1)
  if (answer === 'cut off') return good.subarray(0, good.length - 100)
  if (answer === 'longer') return Buffer.concat([good, Buffer.from('more')])
  return good
}

/** The question as a wrong authority would take it: one field of it is another. */
function asked(answer: Answer, question: Buffer): Buffer {
  const imprint = question.indexOf(Buffer.from([0x04, 0x20])) + 2
  const nonce = question.indexOf(Buffer.from([0x02, 0x10])) + 2
  if (answer === 'other nonce') return flipped(question, nonce + 5)
  if (answer === 'other imprint') return flipped(question, imprint + 5)
  if (answer !== 'no certificate') return question
  // certReq is the BOOLEAN at the end.
  return flipped(question, question.length - 1, 0xff)
}

function flipped(bytes: Buffer, at: number, mask = 0x01): Buffer {
  const changed = Buffer.from(bytes)
  changed.writeUInt8(changed.readUInt8(at) ^ mask, at)
  return changed
}

async function stamped(folder: string, question: Buffer, answer: Answer): Promise<Buffer> {
  await writeFile(path.join(folder, 'question.tsq'), question)
  const config = answer === 'rejected' ? 'rejecting.cnf' : 'ts.cnf'
  const files = ['-queryfile', 'question.tsq', '-config', config, '-section', 'tsa_config']
  openssl(folder, 'ts', '-reply', ...files, '-out', 'answer.tsr')
  return readFile(path.join(folder, 'answer.tsr'))
}
