// `npm run import -- FILE`: fills an empty database from an exported journal.
import { fileArgument, runCommand } from './command.ts'
import { importFromFile } from './file.ts'

const file = fileArgument('npm run import -- FILE')

await runCommand(async ({ owner }) => {
  const count = await importFromFile(owner.db, file)
  return `${count} entries came in from ${file}, and all facts were built from them`
})
