// A signer with a new key of its own, which is on record and nowhere in a file.
import { generateKeyPairSync, sign } from 'node:crypto'
import type { Signer } from '../../api/journal/checkpoint-keys.ts'
import { noteKey, noteOf } from '../../api/journal/note.ts'
import type { Database } from '../../db/connect.ts'

/** Puts its public key on record as the first one. */
export async function newSigner(db: Database): Promise<Signer> {
  const { privateKey, publicKey } = generateKeyPairSync('ed25519')
  const key = noteKey('bench', publicKey.export({ format: 'der', type: 'spki' }).subarray(12))
  const { name, keyHash } = key
  const row = { key_number: 0, name, key_hash: keyHash, public_key: key.publicKey }
  await db
    .insertInto('signing_key')
    .values({ ...row, succession: null, reason: 'bench', made_at: new Date() })
    .execute()
  const known = { ...key, number: 0, succession: null, reason: 'bench', madeAt: new Date() }
  const signed = (text: string) => sign(null, Buffer.from(text), privateKey)
  return { key: known, sign: (text) => noteOf(text, [{ name, keyHash, signature: signed(text) }]) }
}
