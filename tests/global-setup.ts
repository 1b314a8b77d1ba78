// Chooses the database server for the run, says which, and makes the template once.
import { chmod, mkdtemp, rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { randomBytes } from 'node:crypto'
import type { TestProject } from 'vitest/node'
import { connect } from '../db/connect.ts'
import { migrate } from '../db/migrate.ts'
import { ensureRoles } from '../db/roles.ts'

import { asAdmin, withDatabase } from './database.ts'

declare module 'vitest' {
  export interface ProvidedContext {
    adminUrl: string
    template: string
    engine: string
  }
}

type Server = { adminUrl: string; engine: string; stop: () => Promise<void> }

export default async function setup(project: TestProject): Promise<() => Promise<void>> {
  const server = await chooseServer()
  console.log(`tests run on ${server.engine}`)
  const template = `canemark_template_${randomBytes(6).toString('hex')}`
  await ensureRoles(server.adminUrl)
  await asAdmin(server.adminUrl, `create database ${template} owner canemark_owner`)
  const owner = connect(withDatabase(server.adminUrl, template), 'owner', { max: 1 })
  await migrate(owner.db)
  await owner.close()
  project.provide('adminUrl', server.adminUrl)
  project.provide('template', template)
  project.provide('engine', server.engine)
  return async () => {
    await asAdmin(server.adminUrl, `drop database if exists ${template} with (force)`)
    await server.stop()
  }
}

async function chooseServer(): Promise<Server> {
  const url = process.env.TEST_DATABASE_URL
  if (url !== undefined && url !== '') {
    return { adminUrl: url, engine: 'the PostgreSQL of TEST_DATABASE_URL', stop: async () => {} }
  }
  return (await fromContainer()) ?? (await fromEmbedded())
}

async function fromContainer(): Promise<Server | null> {
  const { getContainerRuntimeClient } = await import('testcontainers')
  try {
    await getContainerRuntimeClient()
  } catch {
    return null
  }
  const { PostgreSqlContainer } = await import('@testcontainers/postgresql')
  const container = await new PostgreSqlContainer('postgres:18-alpine').start()
  return {
    adminUrl: container.getConnectionUri(),
    engine: 'PostgreSQL 18 in a container',
    stop: async () => void (await container.stop()),
  }
}

async function fromEmbedded(): Promise<Server> {
  const dataFolder = await mkdtemp(join(tmpdir(), 'canemark-tests-'))
  await chmod(dataFolder, 0o711)
  const { openEmbedded } = await import('../db/embedded/open.ts')
  const embedded = await openEmbedded({ dataFolder })
  return {
    adminUrl: embedded.urls.admin,
    engine: 'the embedded PostgreSQL',
    stop: async () => {
      await embedded.stop()
      await rm(dataFolder, { recursive: true, force: true })
    },
  }
}
