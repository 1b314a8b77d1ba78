// How the test runner finds and runs the tests.
import { defineConfig } from 'vitest/config'

export default defineConfig({
  test: {
    root: new URL('..', import.meta.url).pathname,
    globalSetup: ['tests/global-setup.ts'],
    setupFiles: ['tests/property-seed.ts'],
    include: ['tests/**/*.test.ts', 'tests/**/*.test.tsx'],
    testTimeout: 60_000,
    hookTimeout: 120_000,
    // A browser on a busy machine may be too slow once; the report names what was tried again.
    retry: process.env.CI === 'true' ? 1 : 0,
    pool: 'forks',
    maxWorkers: 2,
  },
})
