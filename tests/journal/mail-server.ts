// A real mail server for tests, on loopback, with a certificate made for it.
import { execFileSync } from 'node:child_process'
import { readFileSync, writeFileSync } from 'node:fs'
import { mkdtemp, rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import path from 'node:path'
import { SMTPServer } from 'smtp-server'

export type Mail = { from: string; to: string[]; isSecure: boolean; raw: string }

export type MailServer = {
  port: number
  mails: Mail[]
  close: () => Promise<void>
}

/** How the server is to be: TLS from the start, offered, or none; whom it refuses. */
export type MailServerOptions = {
  tls: 'at once' | 'offered' | 'none'
  host?: string
  password?: string
  refused?: readonly string[]
}

export type TestCertificate = { ca: string; cert: string; key: string; drop: () => Promise<void> }

/** A certificate for localhost and 127.0.0.1 that signs itself. */
export async function testCertificate(): Promise<TestCertificate> {
  const folder = await mkdtemp(path.join(tmpdir(), 'canemark-mail-'))
  const at = (name: string) => path.join(folder, name)
  const names = 'subjectAltName=DNS:localhost,IP:127.0.0.1'
  const made = ['req', '-x509', '-newkey', 'rsa:2048', '-nodes', '-days', '30', '-addext', names]
  const files = ['-subj', '/CN=localhost', '-keyout', at('key.pem'), '-out', at('cert.pem')]
  execFileSync('openssl', [...made, ...files], { stdio: 'pipe' })
  const [cert, key] = [readFileSync(at('cert.pem'), 'utf8'), readFileSync(at('key.pem'), 'utf8')]
  writeFileSync(at('ca.pem'), cert)
  return { ca: at('ca.pem'), cert, key, drop: () => rm(folder, { recursive: true, force: true }) }
}

/** Starts it on a free port. */
export async function mailServer(
  { cert, key }: TestCertificate,
  options: MailServerOptions,
): Promise<MailServer> {
  const mails: Mail[] = []
  const { tls, password, refused = [] } = options
  const server = new SMTPServer({
    ...{ secure: tls === 'at once', cert, key },
    disabledCommands: tls === 'none' ? ['STARTTLS'] : [],
    authOptional: password === undefined,
    allowInsecureAuth: false,
    logger: false,
    onAuth: (auth, _session, done) => {
      if (auth.username === 'grower' && auth.password === password) done(null, { user: 'grower' })
      else done(new Error('name or password is wrong'))
    },
    onRcptTo: ({ address }, _session, done) => {
      done(refused.includes(address) ? new Error('nobody of that name is here') : null)
    },
    onData: (stream, session, done) => {
      let raw = ''
      stream.setEncoding('utf8').on('data', (part: string) => (raw += part))
      stream.on('end', () => {
        const { mailFrom, rcptTo } = session.envelope
        const from = mailFrom === false ? '' : mailFrom.address
        const to = rcptTo.map(({ address }) => address)
        mails.push({ from, to, isSecure: session.secure, raw })
        done()
      })
    },
  })
  server.on('error', () => undefined)
  const listening = await new Promise<number>((resolve) => {
    server.listen(0, options.host ?? '127.0.0.1', () => {
      const address = server.server.address()
      resolve(typeof address === 'object' && address !== null ? address.port : 0)
    })
  })
  const close = () => new Promise<void>((resolve) => server.close(() => resolve()))
  return { port: listening, mails, close }
}

/** The bytes of the attachment of this name, out of the mail as it went over the wire. */
export function attachment({ raw }: Mail, name: string): Buffer {
  const part = raw.split(/\r\n--[^\r\n]+\r\n/).find((one) => one.includes(`filename=${name}`))
  if (part === undefined) throw new Error(`there is no attachment ${name}`)
  if (!/content-transfer-encoding: base64/i.test(part)) throw new Error('it is not in base64')
  return Buffer.from(part.slice(part.indexOf('\r\n\r\n')).split('\r\n--')[0] ?? '', 'base64')
}
