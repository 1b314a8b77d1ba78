// What every answer says about the way it came by.
import { afterAll, beforeAll, expect, it } from 'vitest'
import { officeApp } from '../office-app.ts'
import type { OfficeApp } from '../office-app.ts'

let office: OfficeApp
beforeAll(async () => {
  office = await officeApp()
})
afterAll(() => office.drop())

it('every answer tells browsers to come by https for a year, subdomains too', async () => {
  // OWASP ASVS 5.0.0, requirement 3.4.1: at least one year.
  const yearSeconds = 365 * 24 * 60 * 60
  for (const path of ['/today', '/sign-in', '/nothing', '/api/journal', '/assets/office.css']) {
    const response = await office.app.request(`http://localhost${path}`)
    const header = response.headers.get('strict-transport-security') ?? ''
    expect(Number(/max-age=(\d+)/.exec(header)?.[1]), path).toBeGreaterThanOrEqual(yearSeconds)
    expect(header, path).toContain('includeSubDomains')
  }
})
