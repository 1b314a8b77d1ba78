// `npm run backup -- FOLDER`: writes a backup into a new folder, while people work.
import { systemClock } from '../platform/clock.ts'
import { backup } from './backup.ts'
import { fileArgument, runCommand } from './command.ts'

const folder = fileArgument('npm run backup -- FOLDER')

await runCommand(async ({ owner }) => {
  const { entries, files } = await backup(owner.db, folder, systemClock.now())
  const bytes = files.reduce((sum, file) => sum + file.bytes, 0)
  return (
    `${entries} entries and ${files.length - 1} tables are in ${folder}: ${bytes} bytes. ` +
    'It holds names of people and hashes of passwords: keep it as safe as the database'
  )
})
