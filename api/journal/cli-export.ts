// `npm run export -- FILE`: writes the whole journal to a new file.
import { fileArgument, runCommand } from './command.ts'
import { exportToFile } from './file.ts'

const file = fileArgument('npm run export -- FILE')

await runCommand(async ({ reader }) => {
  const { entries, byteCount, sha256 } = await exportToFile(reader.db, file)
  return `${entries} entries are in ${file}: ${byteCount} bytes, SHA-256 ${sha256}`
})
