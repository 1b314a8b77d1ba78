// Keeps the journal signed while the server runs: grows the tree, makes checkpoints, sends them.
import { setTimeout as wait } from 'node:timers/promises'
import { refuse } from '../platform/errors.ts'
import type { ProofSettings } from '../platform/proof-settings.ts'
import type { Services } from '../platform/services.ts'
import { openSigner } from './checkpoint-keys.ts'
import type { Signer } from './checkpoint-keys.ts'
import { listDeliveries } from './checkpoint-delivery.ts'
import type { DeliveryWay } from './checkpoint-delivery.ts'
import { sendCheckpoints } from './checkpoint-sending.ts'
import { stampWhenDue } from './stamps.ts'
import { isCheckpointDue, makeCheckpoint } from './checkpoints.ts'
import type { SignedCheckpoint } from './checkpoints.ts'
import { growTree } from './tree.ts'

const EVERY_MS = 60_000

/** The signer of this server; refuses with `no_keys` where none was set up. */
export function signerFor({ db, clock, proof }: Services): Promise<Signer> {
  if (proof === undefined) refuse('no_keys', 'this server was started without a folder for keys')
  return openSigner(db, { folder: proof.keyFolder, name: proof.keyName }, clock.now())
}

/**
 * Signs the journal as it is now and sends it on the quick ways, to the folder and the second
 * machine. Mail and stamps may be slow: whoever asks for a signature does not wait for these.
 */
export async function signNow(services: Services): Promise<SignedCheckpoint> {
  const { db, clock, proof } = services
  const made = await makeCheckpoint(db, await signerFor(services), clock.now())
  if (proof !== undefined) await sendCheckpoints(db, { ...waysOf(proof), mail: null }, clock.now())
  return made
}

/**
 * What is done once a minute: signs what is due, has it stamped, sends it. Each outside step has a
 * limit of its own, and `stopping` ends it when the server stops.
 */
export async function signWhenDue(
  services: Services,
  proof: ProofSettings,
  stopping?: AbortSignal,
): Promise<void> {
  const { db, clock } = services
  const signer = await signerFor(services)
  await growTree(db)
  if (await isCheckpointDue(db, clock.now())) await makeCheckpoint(db, signer, clock.now())
  const options = stopping === undefined ? {} : { stopping }
  // First, so that the stamp can go with the mail.
  if (proof.stamps !== null) await stampWhenDue(db, proof.stamps, clock.now(), options)
  await sendCheckpoints(db, waysOf(proof), clock.now(), options)
}

/**
 * Sends the newest checkpoint on all ways at once, for somebody who asked for it, and tells in a
 * line for each way what came of it.
 */
export async function sendAsked(
  { db, clock }: Pick<Services, 'db' | 'clock'>,
  proof: ProofSettings,
): Promise<string[]> {
  const isWanted = true
  if (proof.stamps !== null) await stampWhenDue(db, proof.stamps, clock.now(), { isWanted })
  await sendCheckpoints(db, waysOf(proof), clock.now(), { isWanted })
  const told = await listDeliveries(db)
  const isSet = { ...waysOf(proof), post: proof.sendToUrl, stamp: proof.stamps }
  return told
    .filter(({ way }) => isSet[way] !== null)
    .map(({ way, deliveredAt, problem }) => {
      const reason = problem === null ? '' : ` (${problem})`
      return `${wayWords[way]}: ${deliveredAt === null ? 'not done' : 'done'}${reason}`
    })
}

const wayWords: Record<DeliveryWay, string> = {
  folder: 'written to the folder',
  post: 'posted to the second machine',
  mail: 'mailed',
  stamp: 'stamped by the authority',
}

const waysOf = ({ sendToFolder, sendToUrl, mail }: ProofSettings) => ({
  folder: sendToFolder,
  url: sendToUrl,
  mail,
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
        await signWhenDue(services, proof, stopping.signal)
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
