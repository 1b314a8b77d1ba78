// `npm run verify -- [--key TEXT] [FILE …]`: reads the whole record again, against evidence given.
import { runCommand } from './command.ts'
import { readEvidence } from './held.ts'
import { verifiedWords, verify } from './verify.ts'

await runCommand(async ({ reader }) => {
  const evidence = await readEvidence(process.argv.slice(2))
  const outcome = await verify(reader.db, (line) => console.error(line), evidence)
  if ('verified' in outcome) return verifiedWords(outcome.verified)
  throw new Error(`NOT RIGHT: ${outcome.difference}`)
})
