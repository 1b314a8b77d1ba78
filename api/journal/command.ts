// Runs one command on the database that the environment names, and tells the outcome in words.
import { joinDatabase } from '../../db/choose.ts'
import type { OpenDatabase } from '../../db/choose.ts'

/**
 * Opens the database, or joins the server that runs it, runs `work` and closes it again. What
 * `work` returns is printed. A failure is printed in words, without a stack, and the process then
 * ends with code 1.
 */
export async function runCommand(work: (database: OpenDatabase) => Promise<string>): Promise<void> {
  const log = (line: string) => console.error(line)
  try {
    const database = await joinDatabase(process.env, log)
    try {
      log(`working on ${database.describe}`)
      console.log(await work(database))
    } finally {
      await database.close()
    }
  } catch (error) {
    console.error(error instanceof Error ? error.message : String(error))
    process.exitCode = 1
  }
}

/** The one file that the command was called with; tells how to call it and ends without one. */
export function fileArgument(usage: string): string {
  const [file, ...more] = process.argv.slice(2)
  if (file !== undefined && file !== '' && more.length === 0) return file
  console.error(`call it as: ${usage}`)
  process.exit(2)
}
