// A pooler that drops what connections ask for is found out, before anything is written through it.
import { afterAll, beforeAll, expect, it } from 'vitest'
import { openDatabase } from '../../db/choose.ts'
import { freshDatabase } from '../database.ts'
import type { TestDatabase } from '../database.ts'
import { strippingProxy } from './stripping-proxy.ts'

let database: TestDatabase
let proxy: Awaited<ReturnType<typeof strippingProxy>>

beforeAll(async () => {
  database = await freshDatabase()
  proxy = await strippingProxy(new URL(database.url))
})
afterAll(async () => {
  await proxy.stop()
  await database.drop()
})

it('an app that would have the rights of its login, not of its role, does not start', async () => {
  const pooled = new URL(database.url)
  pooled.hostname = '127.0.0.1'
  pooled.port = String(proxy.port)
  const environment = { DATABASE_URL: pooled.href, DATABASE_OWNER_URL: database.url }
  await expect(openDatabase(environment)).rejects.toThrow(
    /DATABASE_URL works as \S+, in the time zone .* a pooler in between drops what is asked for/,
  )
  await (await openDatabase({ DATABASE_URL: database.url })).close()
})
