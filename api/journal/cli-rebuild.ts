// `npm run rebuild`: works all facts and findings out again from the journal.
import { runCommand } from './command.ts'
import { rebuild } from './rebuild.ts'

await runCommand(async ({ owner }) => {
  const count = await rebuild(owner.db)
  return `${count} entries were read again, and all facts and findings built from them`
})
