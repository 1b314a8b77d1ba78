// The keys that sign checkpoints: private halves in files of the server, public ones on record.
import {
  createPrivateKey,
  createPublicKey,
  generateKeyPairSync,
  randomBytes,
  sign,
} from 'node:crypto'
import type { KeyObject } from 'node:crypto'
import { mkdir, open, readFile } from 'node:fs/promises'
import path from 'node:path'
import { sql } from 'kysely'
import type { Transaction } from 'kysely'
import type { Database } from '../../db/connect.ts'
import type { Tables } from '../../db/tables.ts'
import { refuse } from '../platform/errors.ts'
import { keyText, noteKey, noteOf, openNote, signersOf } from './note.ts'
import type { NoteKey } from './note.ts'
import { journalSize } from './read-journal.ts'

/** Where private keys lie, and the name that a first key gets; null lets one be made up. */
export type KeySettings = { folder: string; name: string | null }

/** A key on record; `succession` is the note by which the key before named it. */
export type KnownKey = NoteKey & {
  number: number
  succession: string | null
  reason: string
  madeAt: Date
}

/** A key that this process can sign with. */
export type Signer = { key: KnownKey; sign: (text: string) => string }

const keyLock = 7263006
/** Before the last 32 bytes of a public key in the form SPKI. */
const SPKI_PREFIX_BYTES = 12

type Trx = Transaction<Tables>

/** Every key on record, the oldest first. */
export async function knownKeys(db: Database): Promise<KnownKey[]> {
  const rows = await db.selectFrom('signing_key').selectAll().orderBy('key_number').execute()
  return rows.map((row) => ({
    ...noteKey(row.name, row.public_key),
    number: row.key_number,
    succession: row.succession,
    reason: row.reason,
    madeAt: new Date(row.made_at),
  }))
}

/**
 * The signer for the newest key on record; makes the first key when there is none. Refuses with
 * `key_missing` when the key's file is not here, and with `key_wrong` when it holds another key:
 * a second key is never made in silence.
 */
export async function openSigner(db: Database, settings: KeySettings, now: Date): Promise<Signer> {
  const newest = (await knownKeys(db)).at(-1)
  return newest === undefined ? makeFirst(db, settings, now) : signerOf(newest, settings.folder)
}

async function makeFirst(db: Database, settings: KeySettings, now: Date): Promise<Signer> {
  const made = await db.transaction().execute(async (trx) => {
    await sql`select pg_advisory_xact_lock(${keyLock}::bigint)`.execute(trx)
    if ((await knownKeys(trx)).length > 0) return null
    const name = settings.name ?? `journal-${randomBytes(4).toString('hex')}.canemark`
    const { key, secret } = makeKey(name)
    await writeKey(settings.folder, key, secret)
    await keep(trx, key, 0, { succession: null, reason: 'the first key', now })
    return key
  })
  // Another process may have made it just now.
  if (made === null) return openSigner(db, settings, now)
  return openSigner(db, settings, now)
}

/**
 * Makes a new key and lets the one before name it: both sign the note. With `isLost`, when the
 * file of the one before is gone, no note can be signed, and whoever knows the old key must be
 * told of the new one by other means.
 */
export async function changeKey(
  db: Database,
  folder: string,
  by: { reason: string; isLost: boolean; now: Date },
): Promise<Signer> {
  const { reason, isLost, now } = by
  return db.transaction().execute(async (trx) => {
    await sql`select pg_advisory_xact_lock(${keyLock}::bigint)`.execute(trx)
    const before = (await knownKeys(trx)).at(-1)
    if (before === undefined) return refuse('no_key', 'there is no key yet that could be changed')
    const { key, secret } = makeKey(before.name)
    let succession: string | null = null
    if (!isLost) {
      const old = await signerOf(before, folder)
      const text = successionText(key, await journalSize(trx))
      const own = { name: key.name, keyHash: key.keyHash, signature: signed(secret, text) }
      const [first] = openNote(old.sign(text)).signatures
      if (first === undefined) throw new Error('the old key signed nothing')
      succession = noteOf(text, [first, own])
    }
    await writeKey(folder, key, secret)
    const number = before.number + 1
    await keep(trx, key, number, { succession, reason, now })
    return newSigner({ ...key, number, succession, reason, madeAt: now }, secret)
  })
}

/** The text by which one key names the next; its second line keeps it from being a checkpoint. */
export function successionText(next: NoteKey, size: number): string {
  return `${next.name}\nnew key ${keyText(next)}\nfrom entry ${size}\n`
}

/**
 * Those of `keys` that the first of them leads to, each named by the one before. Throws when a
 * note of succession was changed; stops at a key that came without one.
 */
export function followKeys(keys: readonly (NoteKey & { succession: string | null })[]): NoteKey[] {
  const followed: NoteKey[] = []
  for (const key of keys) {
    const before = followed.at(-1)
    if (before !== undefined) {
      if (key.succession === null) break
      const note = openNote(key.succession)
      const signers = signersOf(note, [before, key])
      if (!signers.includes(before)) throw new Error('a new key is not signed by the one before')
      if (!note.text.startsWith(`${key.name}\nnew key ${keyText(key)}\n`)) {
        throw new Error('a note of succession names another key')
      }
    }
    followed.push(key)
  }
  return followed
}

/** The note that another program hands on of its text, by this key alone. */
function newSigner(key: KnownKey, secret: KeyObject): Signer {
  const { name, keyHash } = key
  return {
    key,
    sign: (text) => noteOf(text, [{ name, keyHash, signature: signed(secret, text) }]),
  }
}

const signed = (secret: KeyObject, text: string) => sign(null, Buffer.from(text, 'utf8'), secret)

function makeKey(name: string): { key: NoteKey; secret: KeyObject } {
  const { privateKey } = generateKeyPairSync('ed25519')
  return { key: noteKey(name, rawPublic(privateKey)), secret: privateKey }
}

function rawPublic(secret: KeyObject): Buffer {
  const spki = createPublicKey(secret).export({ format: 'der', type: 'spki' })
  return spki.subarray(SPKI_PREFIX_BYTES)
}

const fileOf = (folder: string, { keyHash }: NoteKey) =>
  path.join(folder, `checkpoint-key-${keyHash.toString('hex')}.pem`)

async function writeKey(folder: string, key: NoteKey, secret: KeyObject): Promise<void> {
  const name = fileOf(folder, key)
  try {
    await mkdir(folder, { recursive: true, mode: 0o700 })
    const file = await open(name, 'wx', 0o600)
    try {
      await file.writeFile(secret.export({ format: 'pem', type: 'pkcs8' }))
      await file.sync()
    } finally {
      await file.close()
    }
  } catch (error) {
    refuse(
      'key_not_written',
      `the key that signs checkpoints cannot be written to ${name} (${messageOf(error)}): name a ` +
        'folder that Canemark may write in by CANEMARK_KEYS',
    )
  }
}

async function signerOf(key: KnownKey, folder: string): Promise<Signer> {
  const name = fileOf(folder, key)
  const text = await readFile(name, 'utf8').catch((error: unknown) =>
    refuse(
      'key_missing',
      `the key ${keyText(key)} that signs checkpoints cannot be read from ${name} ` +
        `(${messageOf(error)}). Put its file there; when it is lost, make another with ` +
        '“npm run new-key -- --lost REASON” and tell whoever keeps your checkpoints',
    ),
  )
  let secret: KeyObject | null = null
  try {
    secret = createPrivateKey(text)
  } catch {
    secret = null
  }
  if (secret?.asymmetricKeyType !== 'ed25519' || !rawPublic(secret).equals(key.publicKey)) {
    return refuse('key_wrong', `${name} does not hold the key ${keyText(key)}: it was changed`)
  }
  return newSigner(key, secret)
}

async function keep(
  trx: Trx,
  key: NoteKey,
  number: number,
  by: { succession: string | null; reason: string; now: Date },
): Promise<void> {
  await trx
    .insertInto('signing_key')
    .values({
      key_number: number,
      name: key.name,
      key_hash: key.keyHash,
      public_key: key.publicKey,
      succession: by.succession,
      reason: by.reason,
      made_at: by.now,
    })
    .execute()
}

const messageOf = (error: unknown) => (error instanceof Error ? error.message : String(error))
