// Reaches the embedded database while another Canemark runs it, as commands beside the server do.
import { readFile } from 'node:fs/promises'
import { type EmbeddedUrls, urlsFor } from './bootstrap.ts'
import { EmbeddedDatabaseError } from './errors.ts'
import { layoutOf } from './folder.ts'
import { readSecrets } from './secrets.ts'

/**
 * The URLs of the server that another process runs on this data folder; null when the folder does
 * not tell them. Whoever may read the folder's passwords may do this, and nobody else.
 */
export async function joinEmbedded(dataFolder: string): Promise<EmbeddedUrls | null> {
  const layout = layoutOf(dataFolder)
  const port = Number((await readFile(layout.portFile, 'utf8').catch(() => '')).trim())
  if (!Number.isInteger(port) || port < 1) return null
  const secrets = await readSecrets(layout)
  return secrets === null ? null : urlsFor(port, secrets)
}

/** Is this the refusal of a folder that another process holds? */
export function isInUse(error: unknown): boolean {
  return error instanceof EmbeddedDatabaseError && error.code === 'folder_in_use'
}
