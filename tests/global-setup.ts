// Chooses the database server for the run, says which, and makes the template once.
import type { TestProject } from 'vitest/node'
import { asAdmin, chooseServer, migratedDatabase } from './server.ts'

declare module 'vitest' {
  export interface ProvidedContext {
    adminUrl: string
    template: string
    engine: string
  }
}

export default async function setup(project: TestProject): Promise<() => Promise<void>> {
  const server = await chooseServer()
  console.log(`tests run on ${server.engine}`)
  const template = await migratedDatabase(server.adminUrl, 'canemark_template')
  project.provide('adminUrl', server.adminUrl)
  project.provide('template', template)
  project.provide('engine', server.engine)
  return async () => {
    await asAdmin(server.adminUrl, `drop database if exists ${template} with (force)`)
    await server.stop()
  }
}
