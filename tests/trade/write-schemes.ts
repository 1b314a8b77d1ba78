// Writes docs/schemes.md anew: `npx tsx tests/trade/write-schemes.ts`.
import { writeFile } from 'node:fs/promises'
import { schemesPage } from './schemes-page.ts'

await writeFile(new URL('../../docs/schemes.md', import.meta.url), schemesPage())
