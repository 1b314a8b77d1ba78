// `npm run checkpoint`: signs the journal as it is now, prints the note, sends it on all ways.
import { systemClock } from '../platform/clock.ts'
import { readProofSettings } from '../platform/proof-settings.ts'
import { openSigner } from './checkpoint-keys.ts'
import { makeCheckpoint } from './checkpoints.ts'
import { runCommand } from './command.ts'
import { sendAsked } from './keep-signing.ts'

await runCommand(async ({ app }) => {
  const proof = readProofSettings(process.env)
  const { keyFolder: folder, keyName: name } = proof
  const now = systemClock.now()
  const signer = await openSigner(app.db, { folder, name }, now)
  const { note } = await makeCheckpoint(app.db, signer, now)
  for (const line of await sendAsked({ db: app.db, clock: systemClock }, proof)) {
    console.error(line)
  }
  return note.trimEnd()
})
