// Puts a dossier into one page of HTML that checks itself in a browser without any network.
import { createHash } from 'node:crypto'
import { fileURLToPath } from 'node:url'
import { build } from 'esbuild'

const scriptFile = fileURLToPath(new URL('./check/page-script.ts', import.meta.url))
let bundled: Promise<string> | null = null

/** The page's script with all that it uses, in one text; built once. */
function pageScript(): Promise<string> {
  bundled ??= build({
    entryPoints: [scriptFile],
    bundle: true,
    write: false,
    format: 'iife',
    target: 'es2022',
    minify: true,
    legalComments: 'inline',
    charset: 'ascii',
  }).then(({ outputFiles }) => outputFiles[0]?.text ?? '')
  return bundled
}

const style = `
:root { color-scheme: light; font: 16px/1.45 system-ui, sans-serif; color: #1c1c1a }
body { margin: 0 auto; max-width: 76rem; padding: 1rem }
h1 { font-size: 1.5rem; margin: 0 0 .3rem } h2 { font-size: 1.1rem; margin: 1.6rem 0 .2rem }
table { border-collapse: collapse; width: 100%; font-size: .86rem }
th, td { border-bottom: 1px solid #c9c7bf; padding: .25rem .5rem; text-align: left;
  vertical-align: top; overflow-wrap: break-word; white-space: pre-line }
thead th { border-bottom: 2px solid #55534c }
.note { color: #55534c; font-size: .86rem; margin: .1rem 0 .4rem }
#outcome { border: 3px solid #55534c; padding: .6rem .8rem; font-weight: 600;
  overflow-wrap: anywhere }
#outcome.wrong { border-style: double; border-width: 8px; border-color: #8c1d18; color: #8c1d18 }
#outcome.right { border-color: #1d5c2e }
.mark { white-space: nowrap; font-weight: 600 } tr.wrong td, tr.wrong th { color: #8c1d18 }
pre { white-space: pre-wrap; overflow-wrap: anywhere; background: #f3f2ee; padding: .5rem }
section { overflow-x: auto }
label { display: block; margin: .5rem 0 } input { font: inherit; max-width: 100% }
button { font: inherit; padding: .35rem .9rem; margin-right: .5rem }
@media print { label, button, #entries { display: none } }
`

/** The page for a dossier's JSON file and PDF, as UTF-8 text. */
export async function dossierPage(json: Buffer, pdf: Buffer): Promise<string> {
  const script = await pageScript()
  const policy = [
    "default-src 'none'",
    `script-src '${hashOf(script)}'`,
    `style-src '${hashOf(style)}'`,
    "base-uri 'none'",
    "form-action 'none'",
  ].join('; ')
  return `<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="${policy}">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>Dossier</title>
<style>${style}</style>
</head>
<body>
<main>
<h1 id="title">Dossier</h1>
<p id="about" class="note"></p>
<p id="outcome" role="status">Being checked. When this stays here, scripts are switched off in this
browser, and nothing was checked.</p>
<table aria-label="Checks made in this browser"><tbody id="checks"></tbody></table>
<label>The nursery’s key, as you have it from another place than this file (a label roll, a report,
a letter) <input id="key" size="80" autocomplete="off" spellcheck="false"></label>
<label>A PDF that was given to you with this dossier
<input id="given-pdf" type="file" accept="application/pdf"></label>
<p><button id="save-pdf" type="button">Save the PDF</button>
<button id="save-json" type="button">Save the JSON file</button></p>
<p class="note">This page asks no network for anything. A page that somebody changed can lie about
itself: who must be sure checks the JSON file by other means, which docs/dossier.md tells.</p>
<div id="content"></div>
<section aria-labelledby="entries-title"><h2 id="entries-title">Entries, exactly as they are
stored</h2><div id="entries"></div></section>
</main>
<script type="application/json" id="dossier">${toPage(json.toString('utf8'))}</script>
<script type="text/plain" id="pdf">${pdf.toString('base64')}</script>
<script>${script}</script>
</body>
</html>
`
}

/** JSON text that no HTML reader can take for the end of a script. */
export function toPage(json: string): string {
  return json.replaceAll('<', '\\u003c')
}

const hashOf = (text: string) =>
  `sha256-${createHash('sha256').update(text, 'utf8').digest('base64')}`
