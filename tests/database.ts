// Gives each test file a database of its own, cloned from one migrated template.
import { randomBytes } from 'node:crypto'
import { inject } from 'vitest'
import { connect } from '../db/connect.ts'
import type { Connected } from '../db/connect.ts'
import { asAdmin, withDatabase } from './server.ts'

/** A database for one test file: three roles on it, and how to throw it away. */
export type TestDatabase = {
  name: string
  url: string
  app: Connected
  owner: Connected
  reader: Connected
  drop: () => Promise<void>
}

/** Clones the template (about 0.1 s) and connects as each role. */
export async function freshDatabase(): Promise<TestDatabase> {
  const admin = inject('adminUrl')
  const name = `canemark_test_${randomBytes(6).toString('hex')}`
  await asAdmin(
    admin,
    `create database ${name} template ${inject('template')} owner canemark_owner`,
  )
  const url = withDatabase(admin, name)
  const [app, owner, reader] = [
    connect(url, 'app'),
    connect(url, 'owner', { max: 3 }),
    connect(url, 'reader', { max: 3 }),
  ]
  const drop = async () => {
    await Promise.all([app.close(), owner.close(), reader.close()])
    await asAdmin(admin, `drop database if exists ${name} with (force)`)
  }
  return { name, url, app, owner, reader, drop }
}
