// A disk of a few megabytes that a test can fill: a tmpfs, which only root may mount.
import { execFileSync } from 'node:child_process'
import { mkdtempSync, rmSync } from 'node:fs'
import { open, rm, statfs } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import path from 'node:path'
import type { TestContext } from 'vitest'

/** A mounted disk. */
export type SmallDisk = {
  folder: string
  /** Writes until nothing more fits. */
  fill: () => Promise<void>
  /** Takes away what `fill` wrote. */
  free: () => Promise<void>
  unmount: () => void
}

/**
 * Mounts a disk of so many MiB, or leaves the test out, printing why, where that is not allowed.
 */
export function mountSmallDisk(context: TestContext, mebibytes: number): SmallDisk {
  const folder = mkdtempSync(path.join(tmpdir(), 'canemark-disk-'))
  const options = `size=${mebibytes}m,mode=0755`
  try {
    execFileSync('mount', ['-t', 'tmpfs', '-o', options, 'canemark', folder], { stdio: 'pipe' })
  } catch (error) {
    rmSync(folder, { recursive: true })
    const why = `no small disk can be mounted here (needs root): ${String(error).split('\n')[0]}`
    console.warn(`not run: "${context.task.name}": ${why}`)
    context.skip(why)
  }
  const ballast = path.join(folder, 'ballast')
  return {
    folder,
    fill: async () => {
      const file = await open(ballast, 'a', 0o600)
      try {
        for (const size of [1 << 20, 4096]) await fillBy(file, Buffer.alloc(size, 0x2e))
      } finally {
        await file.close()
      }
      const { bavail } = await statfs(folder)
      if (bavail > 0) throw new Error(`${bavail} blocks are still free`)
    },
    free: () => rm(ballast, { force: true }),
    unmount: () => {
      execFileSync('umount', ['--lazy', folder], { stdio: 'pipe' })
      rmSync(folder, { recursive: true, force: true })
    },
  }
}

async function fillBy(file: Awaited<ReturnType<typeof open>>, piece: Buffer): Promise<void> {
  for (;;) {
    try {
      await file.write(piece)
    } catch (error) {
      if (error instanceof Error && 'code' in error && error.code === 'ENOSPC') return
      throw error
    }
  }
}
