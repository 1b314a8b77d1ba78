// Serves the office's own style sheet and mark, read once.
import { readFileSync } from 'node:fs'
import { Hono } from 'hono'
import type { Env } from '../platform/services.ts'

const folder = new URL('./assets/', import.meta.url)

/** The files under api/office/assets and their types: a closed list, so no path can reach out. */
const files = { 'office.css': 'text/css; charset=utf-8', 'mark.svg': 'image/svg+xml' } as const

export const assets = new Hono<Env>()

for (const [name, type] of Object.entries(files)) {
  const content = readFileSync(new URL(name, folder))
  assets.get(`/${name}`, (c) =>
    c.body(content, 200, { 'content-type': type, 'cache-control': 'public, max-age=3600' }),
  )
}
