// Mails a checkpoint with the keys to check it by: plain text, and never without TLS to elsewhere.
import { createTransport } from 'nodemailer'
import type { MailSettings } from '../platform/proof-settings.ts'
import type { KnownKey } from './checkpoint-keys.ts'
import { checkpointFileName, keysText, stampFileName } from './checkpoint-files.ts'
import type { SignedCheckpoint } from './checkpoints.ts'
import type { KeptStamp } from './stamps.ts'

/** For the connection, the greeting, and any silence after it; and for all of it, in ms. */
const STEP_WAIT_MS = 10_000
const WHOLE_WAIT_MS = 45_000

/** What is mailed. */
export type MailedCheckpoint = {
  checkpoint: SignedCheckpoint
  keys: readonly KnownKey[]
  /** The stamp of this very checkpoint, when there is one. */
  stamp: KeptStamp | null
}

/**
 * Mails it to everybody named. Gives null, or a reservation when the server took it for some
 * and not for others. Throws an Error in words when nobody gets it. Anywhere but on this machine
 * itself the connection is by TLS and the server's certificate is checked, or nothing is sent.
 */
export async function mailCheckpoint(
  settings: MailSettings,
  mailed: MailedCheckpoint,
  stopping?: AbortSignal,
): Promise<string | null> {
  const transport = createTransport(transportOf(settings))
  try {
    const sent = await within(stopping, transport.sendMail(mailOf(settings, mailed)))
    const refused = sent.rejected.map(String)
    if (refused.length === 0) return null
    return `the mail server took it, but not for ${refused.join(', ')}`
  } finally {
    transport.close()
  }
}

/** What must never be written anywhere of these settings, in the forms in which it may turn up. */
export function mailSecrets({ server }: MailSettings): string[] {
  const { username, password } = new URL(server)
  if (password === '') return []
  const [name, secret] = [decodeURIComponent(username), decodeURIComponent(password)]
  const base64 = (text: string) => Buffer.from(text, 'utf8').toString('base64')
  return [server, base64(`\0${name}\0${secret}`), base64(secret), secret, password]
}

function transportOf({ server, authorities }: MailSettings) {
  const { protocol, hostname, port, username, password } = new URL(server)
  const host = hostname.replace(/^\[|\]$/g, '')
  const isSecure = protocol === 'smtps:'
  const isHere = isLoopback(host)
  return {
    host,
    port: port === '' ? (isSecure ? 465 : 587) : Number(port),
    secure: isSecure,
    // On this machine itself a server without TLS will do; one that offers it is used with it.
    requireTLS: !isSecure && !isHere,
    ...(username === ''
      ? {}
      : { auth: { user: decodeURIComponent(username), pass: decodeURIComponent(password) } }),
    tls: {
      minVersion: 'TLSv1.2' as const,
      rejectUnauthorized: true,
      ...(authorities === null ? {} : { ca: authorities }),
    },
    connectionTimeout: STEP_WAIT_MS,
    greetingTimeout: STEP_WAIT_MS,
    socketTimeout: STEP_WAIT_MS,
    dnsTimeout: STEP_WAIT_MS,
    // Nothing of a mail is fetched from a file or an address.
    disableFileAccess: true,
    disableUrlAccess: true,
    logger: false,
    debug: false,
  }
}

function isLoopback(host: string): boolean {
  return host === 'localhost' || host === '::1' || /^127(\.\d{1,3}){3}$/.test(host)
}

function mailOf(settings: MailSettings, { checkpoint, keys, stamp }: MailedCheckpoint) {
  const { size, keyNumber, note, madeAt } = checkpoint
  const origin = note.split('\n')[0] ?? ''
  const stampWords =
    stamp === null
      ? ''
      : `\nA time stamp comes with it: ${stamp.stampedAt.toISOString()} by ${stamp.authority}, ` +
        'as the stamp says.\n'
  const text =
    'This is a signed note of how many entries the nursery’s journal held and of the root of ' +
    'their tree: keep this mail, for whoever rewrites the journal later cannot change it. To ' +
    'check, save the attached note and have the nursery run, with you watching: npm run verify ' +
    '-- --key KEY FILE, with the key that you have from another place than this mail.\n\n' +
    `${note}\nMade ${madeAt.toISOString()}, ${size} entries.\n${stampWords}\n` +
    `Keys, the oldest first:\n${keysText(keys)}`
  return {
    from: settings.from,
    to: settings.to,
    subject: `Journal checkpoint: ${size} entries of ${origin}`,
    // The same checkpoint sent twice is the same mail to whoever sorts by it.
    messageId: `<checkpoint-${size}-${keyNumber}@${settings.from.split('@')[1] ?? 'localhost'}>`,
    headers: { 'Auto-Submitted': 'auto-generated' },
    text,
    attachments: [
      attached(checkpointFileName(checkpoint), note),
      attached('keys.txt', keysText(keys)),
      ...(stamp === null
        ? []
        : [
            {
              filename: stampFileName(stamp),
              content: stamp.answer,
              contentType: 'application/timestamp-reply',
            },
          ]),
    ],
  }
}

/** Base64 keeps every byte: a line feed must not become a carriage return and one. */
function attached(filename: string, text: string) {
  const content = Buffer.from(text, 'utf8')
  return {
    filename,
    content,
    contentType: 'text/plain; charset=utf-8',
    contentTransferEncoding: 'base64' as const,
  }
}

async function within<T>(stopping: AbortSignal | undefined, work: Promise<T>): Promise<T> {
  const ends = [AbortSignal.timeout(WHOLE_WAIT_MS), ...(stopping === undefined ? [] : [stopping])]
  const end = AbortSignal.any(ends)
  return new Promise<T>((resolve, reject) => {
    const late = `the mail server did not take the mail within ${WHOLE_WAIT_MS / 1000} seconds`
    const give = () => reject(new Error(stopping?.aborted === true ? 'the server stopped' : late))
    end.addEventListener('abort', give, { once: true })
    if (end.aborted) give()
    void work.then(resolve, reject).finally(() => end.removeEventListener('abort', give))
  })
}
