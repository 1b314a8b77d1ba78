// The app's one page and its manifest, as text; the page holds no script and no style of its own.
import { SCOPE } from './worker/pages.ts'

/** The page that loads these files, named as they follow `/scanner/`. */
export function indexPage(files: {
  scripts: readonly string[]
  styles: readonly string[]
}): string {
  const styles = files.styles.map((name) => `<link rel="stylesheet" href="${SCOPE}${name}">`)
  const scripts = files.scripts.map(
    (name) => `<script type="module" src="${SCOPE}${name}"></script>`,
  )
  return `<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<title>Canemark</title>
<meta name="viewport" content="width=device-width, initial-scale=1, viewport-fit=cover">
<meta name="theme-color" content="#2f4033">
<meta name="robots" content="noindex">
<link rel="manifest" href="${SCOPE}app.webmanifest">
<link rel="icon" href="${SCOPE}icon.svg" type="image/svg+xml">
<link rel="apple-touch-icon" href="${SCOPE}touch-180.png">
${styles.join('\n')}
${scripts.join('\n')}
</head>
<body>
<div id="app"></div>
<noscript>
<p>Canemark needs JavaScript on this phone. Canemark necesita JavaScript en este teléfono.</p>
</noscript>
</body>
</html>
`
}

/** The manifest (W3C Web Application Manifest) that lets a phone install the app. */
export function manifest(): string {
  const png = (name: string, size: number, purpose = 'any') => {
    return { src: `${SCOPE}${name}.png`, sizes: `${size}x${size}`, type: 'image/png', purpose }
  }
  return JSON.stringify({
    id: SCOPE,
    name: 'Canemark',
    short_name: 'Canemark',
    description: 'Budwood, grafts and takes, recorded in the row',
    start_url: SCOPE,
    scope: SCOPE,
    display: 'standalone',
    orientation: 'portrait',
    background_color: '#fffefa',
    theme_color: '#2f4033',
    icons: [
      { src: `${SCOPE}icon.svg`, sizes: 'any', type: 'image/svg+xml', purpose: 'any' },
      png('icon-192', 192),
      png('icon-512', 512),
      png('maskable-512', 512, 'maskable'),
    ],
  })
}
