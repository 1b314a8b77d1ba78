// Writes docs/rights.md anew: `npx tsx tests/people/write-rights.ts`.
import { writeFile } from 'node:fs/promises'
import { newApp } from '../../api/app.ts'
import type { Services } from '../../api/platform/services.ts'
import { rightsPage } from './rights-table.ts'

// Only the routes are read; no request is made, so no service is needed.
const app = newApp({} as Services, async () => null)
await writeFile(new URL('../../docs/rights.md', import.meta.url), rightsPage(app))
