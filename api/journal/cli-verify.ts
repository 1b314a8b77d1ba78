// `npm run verify`: reads the whole record again and tells the first thing that is not right.
import { runCommand } from './command.ts'
import { verifiedWords, verify } from './verify.ts'

await runCommand(async ({ reader }) => {
  const outcome = await verify(reader.db, (line) => console.error(line))
  if ('verified' in outcome) return verifiedWords(outcome.verified)
  throw new Error(`NOT RIGHT: ${outcome.difference}`)
})
