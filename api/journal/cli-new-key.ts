// `npm run new-key -- REASON`: changes the key that signs checkpoints; the old one names the new.
import { systemClock } from '../platform/clock.ts'
import { readProofSettings } from '../platform/proof-settings.ts'
import { changeKey } from './checkpoint-keys.ts'
import { makeCheckpoint } from './checkpoints.ts'
import { runCommand } from './command.ts'
import { sendAsked } from './keep-signing.ts'
import { keyText } from './note.ts'

const words = process.argv.slice(2)
const isLost = words[0] === '--lost'
const reason = (isLost ? words.slice(1) : words).join(' ').trim()
if (reason === '' || reason.startsWith('-')) {
  console.error('call it as: npm run new-key -- REASON, or when the key is lost, -- --lost REASON')
  process.exit(2)
}

await runCommand(async ({ app }) => {
  const proof = readProofSettings(process.env)
  const now = systemClock.now()
  const signer = await changeKey(app.db, proof.keyFolder, { reason, isLost, now })
  const { size } = await makeCheckpoint(app.db, signer, now)
  for (const line of await sendAsked({ db: app.db, clock: systemClock }, proof)) {
    console.error(line)
  }
  const told = isLost
    ? 'No note of the old key names it: tell whoever keeps your checkpoints by other means.'
    : 'The old key has signed the note that names it; keep the file of the old key no longer.'
  return `The key is now ${keyText(signer.key)}\n${told}\nIt signed the ${size} entries there are.`
})
