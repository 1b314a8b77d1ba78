// The demo season recorded, with keys to sign it: what dossiers are made of in tests.
import { newApp } from '../../api/app.ts'
import { signerFor } from '../../api/journal/keep-signing.ts'
import { makeDossier } from '../../api/dossier/make.ts'
import type { MadeDossier } from '../../api/dossier/make.ts'
import type { DossierSubject } from '../../api/dossier/dossier-shape.ts'
import { loadDemo } from '../../seed/load.ts'
import { recordSeason } from '../ops/recorded-season.ts'
import { proofOffice } from '../journal/proof-office.ts'
import type { ProofOffice } from '../journal/proof-office.ts'

export type DossierOffice = ProofOffice & {
  make: (subject: DossierSubject) => Promise<MadeDossier>
}

const time = '2026-11-20T10:00:00Z'

/** An office with the demo in it, its journal signed under `name`. */
export async function dossierOffice(name: string): Promise<DossierOffice> {
  const office = await proofOffice(name, time)
  const { services } = office
  const { db, clock } = services
  await db
    .insertInto('device')
    .values({ device_id: services.deskDeviceId, name: 'Office desk', kind: 'desk' })
    .execute()
  const app = newApp(services, async () => null)
  await loadDemo(db, (path, init) => app.request(path, init), clock.now())
  const make = async (subject: DossierSubject) =>
    makeDossier(db, await signerFor(services), subject, clock.now())
  return { ...office, make }
}

/** An office with a short random season in it, a phone's signed entries among it. */
export async function smallOffice(name: string): Promise<DossierOffice> {
  const office = await proofOffice(name, '2027-12-01T08:00:00Z')
  const { services } = office
  const { db, clock } = services
  await recordSeason(db, 20270603, 240)
  const make = async (subject: DossierSubject) =>
    makeDossier(db, await signerFor(services), subject, clock.now())
  return { ...office, make }
}

/** The registered lot of which most is on record. */
export async function someLot(office: DossierOffice): Promise<DossierSubject> {
  const row = await office.services.db
    .selectFrom('lot_first')
    .innerJoin('movement', 'movement.lot_id', 'lot_first.lot_id')
    .select(['lot_first.lot_id', ({ fn }) => fn.countAll().as('steps')])
    .groupBy('lot_first.lot_id')
    .orderBy('steps', 'desc')
    .limit(1)
    .executeTakeFirstOrThrow()
  return { kind: 'lot', id: row.lot_id, position: 0 }
}

/** A graft of the demo, by the lot that has the most vines. */
export async function busyVine(office: DossierOffice): Promise<{ rowId: string; lotId: string }> {
  const row = await office.services.db
    .selectFrom('graft')
    .select(['row_id', 'lot_id'])
    .orderBy('grafted_at')
    .limit(1)
    .executeTakeFirstOrThrow()
  return { rowId: row.row_id, lotId: row.lot_id }
}
