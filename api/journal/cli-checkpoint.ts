// `npm run checkpoint`: signs the journal as it is now and prints the note.
import { systemClock } from '../platform/clock.ts'
import { readProofSettings } from '../platform/settings.ts'
import { openSigner } from './checkpoint-keys.ts'
import { makeCheckpoint } from './checkpoints.ts'
import { runCommand } from './command.ts'

await runCommand(async ({ app }) => {
  const { keyFolder: folder, keyName: name } = readProofSettings(process.env)
  const now = systemClock.now()
  const signer = await openSigner(app.db, { folder, name }, now)
  return (await makeCheckpoint(app.db, signer, now)).note.trimEnd()
})
