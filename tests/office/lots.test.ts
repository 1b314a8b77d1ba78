// The lot pages show what the journal says.
import { afterAll, beforeAll, expect, it } from 'vitest'
import { officeApp } from '../office-app.ts'
import type { OfficeApp } from '../office-app.ts'

let office: OfficeApp
beforeAll(async () => {
  office = await officeApp()
})
afterAll(() => office.drop())

it('an empty nursery says how to begin', async () => {
  const response = await office.app.request('/lots')
  expect(response.status).toBe(200)
  expect(await response.text()).toContain('Cut or receive one to begin')
})
