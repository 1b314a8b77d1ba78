// Keeps the journal signed while the server runs: grows the tree, makes checkpoints, sends them.
import { setTimeout as wait } from 'node:timers/promises'
import { refuse } from '../platform/errors.ts'
import type { ProofSettings } from '../platform/settings.ts'
import type { Services } from '../platform/services.ts'
import { openSigner } from './checkpoint-keys.ts'
import type { Signer } from './checkpoint-keys.ts'
import { sendCheckpoints } from './checkpoint-sending.ts'
import { isCheckpointDue, makeCheckpoint } from './checkpoints.ts'
import type { SignedCheckpoint } from './checkpoints.ts'
import { growTree } from './tree.ts'

const EVERY_MS = 60_000

/** The signer of this server; refuses with `no_keys` where none was set up. */
export function signerFor({ db, clock, proof }: Services): Promise<Signer> {
  if (proof === undefined) refuse('no_keys', 'this server was started without a folder for keys')
  return openSigner(db, { folder: proof.keyFolder, name: proof.keyName }, clock.now())
}

/** Signs the journal as it is now and sends the checkpoint on its ways. */
export async function signNow(services: Services): Promise<SignedCheckpoint> {
  const { db, clock, proof } = services
  const made = await makeCheckpoint(db, await signerFor(services), clock.now())
  if (proof !== undefined) await sendCheckpoints(db, waysOf(proof), clock.now())
  return made
}

/** What is done once a minute. */
export async function signWhenDue(services: Services, proof: ProofSettings): Promise<void> {
  const { db, clock } = services
  const signer = await signerFor(services)
  await growTree(db)
  if (await isCheckpointDue(db, clock.now())) await makeCheckpoint(db, signer, clock.now())
  await sendCheckpoints(db, waysOf(proof), clock.now())
}

const waysOf = ({ sendToFolder, sendToUrl }: ProofSettings) => ({
  folder: sendToFolder,
  url: sendToUrl,
})

/**
 * Does so now and every minute until stopped. What fails is told in one line, and again only when
 * the words change; recording goes on meanwhile.
 */
export function keepSigning(
  services: Services,
  proof: ProofSettings,
  log: (line: string) => void,
): { stop: () => Promise<void> } {
  const stopping = new AbortController()
  let told = ''
  const run = async () => {
    while (!stopping.signal.aborted) {
      try {
        await signWhenDue(services, proof)
        told = ''
      } catch (error) {
        const words = error instanceof Error ? error.message : String(error)
        if (words !== told) log(`the journal was not signed: ${words}`)
        told = words
      }
      await wait(EVERY_MS, undefined, { signal: stopping.signal, ref: false }).catch(
        () => undefined,
      )
    }
  }
  const running = run()
  return {
    stop: async () => {
      stopping.abort()
      await running
    },
  }
}
