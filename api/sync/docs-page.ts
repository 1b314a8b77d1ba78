// GET /api/docs: the document as a page to read and try out, with nothing loaded from elsewhere.
import { readFile } from 'node:fs/promises'
import { createRequire } from 'node:module'
import type { Hono } from 'hono'
import { html } from 'hono/html'
import type { ApiEnv } from './device.ts'

const { resolve } = createRequire(import.meta.url)
const ownFolder = new URL('./assets/', import.meta.url)
const script = 'text/javascript; charset=utf-8'

/** The files of the page: a closed list, so that no path can reach out. */
const files: Record<string, { file: string | URL; type: string }> = {
  'swagger-ui.css': {
    file: resolve('swagger-ui-dist/swagger-ui.css'),
    type: 'text/css; charset=utf-8',
  },
  'swagger-ui-bundle.js': { file: resolve('swagger-ui-dist/swagger-ui-bundle.js'), type: script },
  'start-docs.js': { file: new URL('start-docs.js', ownFolder), type: script },
}

/** Adds the page and its files. */
export function addDocsPage(api: Hono<ApiEnv>): void {
  api.get('/docs', (c) => c.html(page))
  for (const [name, { file, type }] of Object.entries(files)) {
    let content: Promise<Uint8Array<ArrayBuffer>> | null = null
    api.get(`/docs/${name}`, async (c) => {
      content ??= readFile(file).then((bytes) => new Uint8Array(bytes))
      const headers = { 'content-type': type, 'cache-control': 'public, max-age=3600' }
      return c.body(await content, 200, headers)
    })
  }
}

const page = html`<!doctype html>
  <html lang="en">
    <head>
      <meta charset="utf-8" />
      <meta name="viewport" content="width=device-width, initial-scale=1" />
      <title>Canemark machine API</title>
      <link rel="icon" href="/assets/mark.svg" />
      <link rel="stylesheet" href="/api/docs/swagger-ui.css" />
      <script src="/api/docs/swagger-ui-bundle.js" defer></script>
      <script src="/api/docs/start-docs.js" defer></script>
    </head>
    <body>
      <main id="docs">
        <p>
          The machine API is described in <a href="/api/openapi.json">openapi.json</a>; this page
          shows it in words where scripts are allowed.
        </p>
      </main>
    </body>
  </html>`
