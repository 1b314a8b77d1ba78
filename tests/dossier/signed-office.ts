// A small nursery whose phones sign their entries with the phone app's own code, for dossiers.
import { makeDossier } from '../../api/dossier/make.ts'
import type { MadeDossier } from '../../api/dossier/make.ts'
import { ingest } from '../../api/journal/ingest.ts'
import { signerFor } from '../../api/journal/keep-signing.ts'
import { signedEntryText } from '#wire/sign.ts'
import type { Entry } from '#wire/entry.ts'
import { newKeyPair, sign } from '../../scanner/keys/signing.ts'
import { proofOffice } from '../journal/proof-office.ts'
import type { ProofOffice } from '../journal/proof-office.ts'
import { idOf } from '../sim/season.ts'
import { RecallScene } from '../trace/recall-scene.ts'

const graftCount = 6

export type SignedOffice = ProofOffice & {
  /** The dossier of the row that the phone grafted. */
  make: () => Promise<MadeDossier>
  /** Ids of the entries that the phone signed. */
  signedIds: string[]
  /** The public key of another phone, as an entry tells it. */
  otherKey: string
  /** Records a graft in the phone's name that the key of another phone has signed. */
  forge: () => Promise<string>
}

/** A row grafted by one phone; another phone is enrolled beside it. */
export async function signedOffice(name: string): Promise<SignedOffice> {
  const office = await proofOffice(name, '2027-06-01T08:00:00Z')
  const { db } = office.services
  const scene = new RecallScene(`signed ${name}`)
  const { writer } = scene
  const phones = ['phone', 'other phone'].map((one) => idOf(`${one} of ${name}`))
  const [phone = '', other = ''] = phones
  const keys = new Map(
    await Promise.all(phones.map(async (id) => [id, await newKeyPair()] as const)),
  )
  writer.add('block.registered', { blockId: scene.id('block'), name: 'Upper', note: '' })
  scene.row()
  scene.source('terrace')
  scene.cut('27-001', 'terrace')
  for (const [deviceId, { publicKey }] of keys)
    writer.add('device.enrolled', { deviceId, publicKey })
  await scene.record(db)

  const signedBy = async (signer: string, entry: Entry): Promise<Entry> => {
    const key = keys.get(signer)?.privateKey
    if (key === undefined) throw new Error(`no key of ${signer}`)
    return { ...entry, signature: await sign(key, signedEntryText(entry)) } as Entry
  }
  const graft = (position: number): Entry =>
    writer.add(
      'graft.made',
      {
        vine: { rowId: scene.id('row'), position },
        lotId: scene.id('27-001'),
        bundleId: null,
        from: { kind: 'place', id: scene.id('room') },
        method: 'chip bud',
        budCount: 2,
        knifeId: null,
        tie: null,
        note: '',
      },
      { device: phone },
    )
  const record = async (entry: Entry): Promise<string> => {
    const [result] = await ingest(db, phone, [entry])
    if (result?.result !== 'recorded') throw new Error(JSON.stringify(result))
    return entry.id
  }
  const signedIds: string[] = []
  for (let nr = 1; nr <= graftCount; nr += 1) {
    signedIds.push(await record(await signedBy(phone, graft(nr))))
  }
  const subject = { kind: 'row', id: scene.id('row'), position: 0 } as const
  return {
    ...office,
    signedIds,
    otherKey: keys.get(other)?.publicKey ?? '',
    make: async () => {
      const signer = await signerFor(office.services)
      return makeDossier(db, signer, subject, office.services.clock.now())
    },
    forge: async () => record(await signedBy(other, graft(graftCount + 1))),
  }
}

/** The index under which a dossier carries the entry with this id. */
export function indexOfEntry({ content }: MadeDossier, id: string): number {
  const found = content.proof.entries.find(({ entry }) => entry.includes(`"id":"${id}"`))
  if (found === undefined) throw new Error(`the dossier does not carry the entry ${id}`)
  return found.index
}
