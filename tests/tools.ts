// Whether a program that a test needs is on this machine, and what to install if it is not.
import { spawnSync } from 'node:child_process'
import type { TestContext } from 'vitest'

/** Debian packages by program. */
const DEBIAN_PACKAGES = {
  pdftoppm: 'poppler-utils',
  pdfinfo: 'poppler-utils',
  pdftotext: 'poppler-utils',
  pdfimages: 'poppler-utils',
  pdffonts: 'poppler-utils',
  zbarimg: 'zbar-tools',
  qpdf: 'qpdf',
  python3: 'python3',
  openssl: 'openssl',
} as const

export type ToolName = keyof typeof DEBIAN_PACKAGES

const found = new Map<ToolName, boolean>()

/**
 * Whether a program is here.
 * @throws Error naming the Debian package when it is not, and CI or CANEMARK_REQUIRE_TOOLS is set
 */
export function toolPresent(name: ToolName): boolean {
  let present = found.get(name)
  if (present === undefined) {
    present = spawnSync(name, ['--version']).error === undefined
    found.set(name, present)
  }
  if (!present && (isSet('CI') || isSet('CANEMARK_REQUIRE_TOOLS'))) {
    throw new Error(missingTool(name))
  }
  return present
}

/**
 * Leaves a test out, printing why, when a program that it needs is not here; where CI or
 * CANEMARK_REQUIRE_TOOLS is set the test fails instead.
 */
export function requireTool(context: TestContext, ...names: ToolName[]): void {
  for (const name of names) {
    if (toolPresent(name)) continue
    console.warn(`not run: "${context.task.name}": ${missingTool(name)}`)
    context.skip(missingTool(name))
  }
}

function missingTool(name: ToolName): string {
  return `${name} is not installed: apt-get install ${DEBIAN_PACKAGES[name]}`
}

function isSet(variable: string): boolean {
  return !['', '0', 'false', undefined].includes(process.env[variable])
}
