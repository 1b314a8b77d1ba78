// `npm run restore -- FOLDER`: fills an empty database from a backup, checked to the byte.
import { fileArgument, runCommand } from './command.ts'
import { restore } from './restore.ts'
import { verifiedWords } from './verify.ts'

const folder = fileArgument('npm run restore -- FOLDER')

await runCommand(async ({ owner }) => {
  const { manifest, verified } = await restore(owner.db, folder, (line) => console.error(line))
  return (
    `restored what was backed up at ${manifest.madeAt}; ${verifiedWords(verified)}. ` +
    'Revocations, ended people and ended links since then are not in it: do them again now'
  )
})
