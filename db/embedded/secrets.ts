// Keeps the random passwords of the four login roles in a file only its owner can read.
import { randomBytes } from 'node:crypto'
import { chmod, open, readFile, rename } from 'node:fs/promises'
import { z } from 'zod'
import { type Account, giveToFolderOwner } from './account.ts'
import { EmbeddedDatabaseError, inWords, systemCode } from './errors.ts'
import type { Layout } from './folder.ts'

const secretsShape = z.strictObject({
  admin: z.string().min(1),
  owner: z.string().min(1),
  app: z.string().min(1),
  reader: z.string().min(1),
})

/** A password for each login role. Who reads this file can do anything to the database. */
export type Secrets = z.infer<typeof secretsShape>

/**
 * Reads the passwords, or makes them when the file is not there. A file that cannot be
 * understood is left alone and refused as `secrets_unreadable`.
 */
export async function readOrMakeSecrets(layout: Layout, account: Account): Promise<Secrets> {
  const known = await readSecrets(layout)
  if (known !== null) return known
  const secrets = { admin: random(), owner: random(), app: random(), reader: random() }
  await writeSecrets(layout, account, secrets)
  return secrets
}

/** Reads the passwords; null when the file is not there. Throws `secrets_unreadable`. */
export async function readSecrets(layout: Layout): Promise<Secrets | null> {
  const text = await readFile(layout.secretsFile, 'utf8').catch((error: unknown) => {
    if (systemCode(error) === 'ENOENT') return null
    throw inWords(error, layout.dataFolder)
  })
  if (text === null) return null
  if (process.platform !== 'win32') await chmod(layout.secretsFile, 0o600)
  try {
    return secretsShape.parse(JSON.parse(text))
  } catch (error) {
    throw new EmbeddedDatabaseError(
      'secrets_unreadable',
      `The password file ${layout.secretsFile} is damaged. Move it away and start Canemark ` +
        `again: it then sets new passwords. The data is not touched by this.`,
      { cause: error },
    )
  }
}

async function writeSecrets(layout: Layout, account: Account, secrets: Secrets): Promise<void> {
  const unfinished = `${layout.secretsFile}.tmp`
  try {
    const file = await open(unfinished, 'w', 0o600)
    try {
      await file.writeFile(`${JSON.stringify(secrets, null, 2)}\n`)
      await file.sync()
    } finally {
      await file.close()
    }
    await giveToFolderOwner(unfinished, account)
    await rename(unfinished, layout.secretsFile)
  } catch (error) {
    throw inWords(error, layout.dataFolder)
  }
}

function random(): string {
  return randomBytes(24).toString('base64url')
}
