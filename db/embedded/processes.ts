// Looks at processes of this machine: is one alive, is it still the same one, what does it run?
import { execFile } from 'node:child_process'
import { readFile, readlink } from 'node:fs/promises'
import { hostname } from 'node:os'
import { setTimeout as sleep } from 'node:timers/promises'
import { promisify } from 'node:util'
import { systemCode } from './errors.ts'

const run = promisify(execFile)
const pollMs = 50

/**
 * What is known of a process id. `identity` differs between two processes that had the same id
 * one after the other (it holds the start time); null when the system will not say.
 */
export type Sighting =
  { state: 'gone' } | { state: 'alive'; identity: string | null; commandLine: string | null }

/** Looks up one process id. A zombie counts as gone: it holds nothing any more. */
export async function look(pid: number): Promise<Sighting> {
  if (!signalReaches(pid)) return { state: 'gone' }
  if (process.platform === 'linux') return lookInProc(pid)
  if (process.platform === 'win32') return lookByPowerShell(pid)
  return lookByPs(pid)
}

/** True when the process with this id is alive and is, as far as can be told, the same one. */
export async function isStill(pid: number, identity: string | null): Promise<boolean> {
  const seen = await look(pid)
  if (seen.state === 'gone') return false
  return identity === null || seen.identity === null || seen.identity === identity
}

/** Waits until the process is gone; false when it still lives after `waitMs`. */
export async function waitUntilGone(
  pid: number,
  identity: string | null,
  waitMs: number,
): Promise<boolean> {
  const deadline = Date.now() + waitMs
  while (await isStill(pid, identity)) {
    if (Date.now() > deadline) return false
    await sleep(pollMs)
  }
  return true
}

/**
 * The machine, and the container on it, whose process ids this process can see. Two processes
 * with the same answer can judge each other by id; others cannot.
 */
export async function placeOfSight(): Promise<string> {
  const machine = (await readOrEmpty('/etc/machine-id')).trim()
  const pidNamespace = await readlink('/proc/self/ns/pid').catch(() => '')
  return [hostname(), machine, pidNamespace].join(' ')
}

function signalReaches(pid: number): boolean {
  try {
    process.kill(pid, 0)
    return true
  } catch (error) {
    return systemCode(error) !== 'ESRCH'
  }
}

/** See proc_pid_stat(5): the third field is the state, the 22nd the start in ticks since boot. */
async function lookInProc(pid: number): Promise<Sighting> {
  const statLine = await readOrEmpty(`/proc/${pid}/stat`)
  if (statLine === '') {
    if (!signalReaches(pid)) return { state: 'gone' }
    return { state: 'alive', identity: null, commandLine: null }
  }
  const fields = statLine.slice(statLine.lastIndexOf(')') + 2).split(' ')
  if (fields[0] === 'Z' || fields[0] === 'X') return { state: 'gone' }
  const boot = (await readOrEmpty('/proc/sys/kernel/random/boot_id')).trim()
  const commandLine = (await readOrEmpty(`/proc/${pid}/cmdline`)).replaceAll('\0', ' ')
  return { state: 'alive', identity: `${boot} ${fields[19]}`, commandLine }
}

/** For macOS and the BSDs, which have no /proc to read. */
export async function lookByPs(pid: number): Promise<Sighting> {
  const columns = ['-o', 'stat=', '-o', 'lstart=', '-o', 'command=']
  const env = { ...process.env, LC_ALL: 'C', TZ: 'UTC' }
  try {
    const { stdout } = await run('ps', ['-ww', '-p', String(pid), ...columns], { env })
    const parts = /^\s*(\S+)\s+(\w{3}\s+\w{3}\s+\d+\s+[\d:]+\s+\d{4})\s+(.*)$/m.exec(stdout)
    if (!parts) return { state: 'alive', identity: null, commandLine: null }
    if (parts[1]?.startsWith('Z')) return { state: 'gone' }
    return { state: 'alive', identity: parts[2] ?? null, commandLine: parts[3] ?? null }
  } catch {
    if (!signalReaches(pid)) return { state: 'gone' }
    return { state: 'alive', identity: null, commandLine: null }
  }
}

async function lookByPowerShell(pid: number): Promise<Sighting> {
  const script =
    `Get-CimInstance Win32_Process -Filter 'ProcessId=${pid}' | ` +
    `ForEach-Object { $_.CreationDate.ToFileTimeUtc(); $_.CommandLine }`
  try {
    const { stdout } = await run('powershell', ['-NoProfile', '-Command', script], {
      windowsHide: true,
    })
    const [started, ...commandLine] = stdout.trim().split(/\r?\n/)
    if (!started) return signalReaches(pid) ? unknown : { state: 'gone' }
    return { state: 'alive', identity: started, commandLine: commandLine.join(' ') || null }
  } catch {
    return unknown
  }
}

const unknown: Sighting = { state: 'alive', identity: null, commandLine: null }

async function readOrEmpty(file: string): Promise<string> {
  try {
    return await readFile(file, 'utf8')
  } catch {
    return ''
  }
}
