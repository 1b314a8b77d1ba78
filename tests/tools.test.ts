// A missing program never turns a test green: it is told, and in CI it fails.
import { afterEach, describe, expect, test, vi } from 'vitest'

afterEach(() => {
  vi.unstubAllEnvs()
})

/** The module as on a machine without any of the programs. */
async function toolsOnBareMachine(env: Record<string, string>) {
  vi.stubEnv('CI', '')
  vi.stubEnv('CANEMARK_REQUIRE_TOOLS', '')
  vi.stubEnv('PATH', '')
  for (const [name, value] of Object.entries(env)) vi.stubEnv(name, value)
  vi.resetModules()
  return await import('./tools.ts')
}

describe('programs that tests need', () => {
  test.each(['CI', 'CANEMARK_REQUIRE_TOOLS'])(
    'with %s set a missing program fails the test and names the Debian package',
    async (variable) => {
      const { toolPresent } = await toolsOnBareMachine({ [variable]: '1' })
      expect(() => toolPresent('pdftoppm')).toThrow(
        'pdftoppm is not installed: apt-get install poppler-utils',
      )
      expect(() => toolPresent('zbarimg')).toThrow('apt-get install zbar-tools')
    },
  )

  test('without them a missing program is simply not there', async () => {
    const { toolPresent } = await toolsOnBareMachine({ CI: 'false' })
    expect(toolPresent('qpdf')).toBe(false)
  })
})
