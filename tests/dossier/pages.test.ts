// Dossiers are made on a page, and an auditor makes those of what was opened and no other.
import { mkdtemp, rm } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import path from 'node:path'
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import { checkDossier } from '../../api/dossier/check/check-dossier.ts'
import { listDossiers } from '../../api/dossier/handed-out.ts'
import { newId } from '../../api/platform/clock.ts'
import { ids, smallNursery } from '../grafting/small-nursery.ts'
import type { OfficeApp } from '../office-app.ts'
import { realApp } from '../people/real-app.ts'
import type { RealApp } from '../people/real-app.ts'

let real: RealApp
let folder: string
beforeAll(async () => {
  real = await realApp()
  folder = await mkdtemp(path.join(tmpdir(), 'canemark-pages-'))
  const nowhere = { sendToFolder: null, sendToUrl: null, mail: null, stamps: null }
  const proof = { keyFolder: folder, keyName: 'vines.example', ...nowhere }
  Object.assign(real.services, { proof })
  await smallNursery({ record: real.record } as OfficeApp)
})
afterAll(async () => {
  await real.drop()
  await rm(folder, { recursive: true, force: true })
})

const lotPath = `/dossier/lot/${ids.whiteLot}`

/** The addresses of the three forms that a page offers, the newest first. */
async function formsOn(at: string, cookie: string): Promise<string[]> {
  const page = await (await real.get(at, cookie)).text()
  const links = page.matchAll(/href="(\/dossier\/[^"?]*\/(?:page|pdf|json)(?:\?[^"]*)?)"/g)
  return [...links].map(([, to = '']) => to.replaceAll('&amp;', '&'))
}

it('is made by a button, and its three forms are one dossier', async () => {
  const cookie = await real.cookieFor('lead hand')
  for (const at of [
    lotPath,
    `/dossier/row/${ids.row1}`,
    `/dossier/vine/${ids.row1}/3`,
    `/dossier/block/${ids.block}`,
  ]) {
    expect((await real.get(at, cookie)).status).toBe(200)
    const made = await real.post(at, { cookie })
    expect([at, made.status, made.headers.get('location')]).toEqual([at, 303, at])
    const forms = await formsOn(at, cookie)
    expect(forms).toHaveLength(3)
    const [page = '', pdf = '', json = ''] = forms
    const text = await (await real.get(json, cookie)).text()
    const bytes = new Uint8Array(await (await real.get(pdf, cookie)).arrayBuffer())
    const checks = await checkDossier(text, { pdf: bytes })
    expect(checks.filter(({ result }) => result === 'wrong')).toEqual([])
    const html = await real.get(page, cookie)
    expect(html.headers.get('content-disposition')).toMatch(/^attachment; filename="dossier-/)
    expect(await html.text()).toContain("default-src 'none'")
  }
})

it('of another thing is not to be had under this one’s address', async () => {
  const cookie = await real.cookieFor('administrator')
  const [page = ''] = await formsOn(lotPath, cookie)
  expect((await real.get(page, cookie)).status).toBe(200)
  const elsewhere = page.replace(ids.whiteLot, ids.whiteLot2)
  expect((await real.get(elsewhere, cookie)).status).toBe(404)
  expect((await real.get(`/dossier/lot/${newId()}`, cookie)).status).toBe(404)
  expect((await real.post(`/dossier/vine/${ids.row1}/900`, { cookie })).status).toBe(404)
})

it('opens to an auditor for what was opened, and for nothing else (invariant 11)', async () => {
  const cookie = await real.auditorCookie([{ kind: 'lot', lotId: ids.whiteLot }])
  const opened = await (await real.get('/opened', cookie)).text()
  expect(opened).toContain(`href="${lotPath}"`)
  expect((await real.post(lotPath, { cookie })).status).toBe(303)
  const subject = { kind: 'lot', id: ids.whiteLot, position: 0 } as const
  expect((await listDossiers(real.services.db, subject)).length).toBeGreaterThan(1)
  for (const form of await formsOn(lotPath, cookie)) {
    expect((await real.get(form, cookie)).status).toBe(200)
  }
  const staff = await real.cookieFor('office')
  await real.post(`/dossier/lot/${ids.redLot}`, { cookie: staff })
  const closed = [
    `/dossier/lot/${ids.redLot}`,
    `/dossier/block/${ids.block}`,
    `/dossier/row/${ids.row1}`,
    `/dossier/vine/${ids.row1}/3`,
    ...(await formsOn(`/dossier/lot/${ids.redLot}`, staff)),
    '/journal/checkpoints',
  ]
  for (const at of closed) expect([at, (await real.get(at, cookie)).status]).toEqual([at, 403])
  const post = await real.post(`/dossier/lot/${ids.redLot}`, { cookie })
  expect(post.status).toBe(403)
  const wide = await real.auditorCookie([{ kind: 'block', blockId: ids.block }])
  expect((await real.post(`/dossier/vine/${ids.row2}/4`, { cookie: wide })).status).toBe(303)
  expect((await real.get(lotPath, wide)).status).toBe(403)
  const crew = await real.cookieFor('crew')
  expect((await real.get(lotPath, crew)).status).toBe(403)
})

it('and checkpoints are signed and saved on a page of the journal', async () => {
  const cookie = await real.cookieFor('office')
  expect((await real.post('/journal/checkpoints', { cookie })).status).toBe(303)
  const page = await (await real.get('/journal/checkpoints', cookie)).text()
  expect(page).toContain('Everything recorded is signed')
  expect(page).toContain('Checkpoints are kept on this server alone')
  const [note = ''] = /\/journal\/checkpoints\/\d+/.exec(page) ?? []
  const saved = await (await real.get(note, cookie)).text()
  expect(saved).toMatch(/^vines\.example\n\d+\n[A-Za-z0-9+/]{43}=\n\n— vines\.example /)
  const hand = await real.cookieFor('lead hand')
  expect((await real.post('/journal/checkpoints', { cookie: hand })).status).toBe(403)
})

describe('of a recall', () => {
  const asked = (found: string) =>
    new URLSearchParams({ on: `source ${ids.source}`, agent: 'GLRaV-3', found }).toString()
  const query = asked('2027-01-20')
  const at = `/dossier/recall?${query}`

  it('is made from the recall’s page, in three forms of one content', async () => {
    const cookie = await real.cookieFor('lead hand')
    const page = await (await real.get(`/trace/recall/of?${query}`, cookie)).text()
    expect(page).toContain(`href="${at.replaceAll('&', '&amp;')}"`)
    expect(page).not.toContain('Open to an auditor')
    expect((await real.post(at, { cookie })).headers.get('location')).toBe(at)
    const [html = '', pdf = '', json = ''] = await formsOn(at, cookie)
    expect(html).toMatch(/^\/dossier\/recall\/[0-9a-f-]{36}\/page\?on=source/)
    const text = await (await real.get(json, cookie)).text()
    const bytes = new Uint8Array(await (await real.get(pdf, cookie)).arrayBuffer())
    const checks = await checkDossier(text, { pdf: bytes })
    expect(checks.filter(({ result }) => result === 'wrong')).toEqual([])
    expect((await real.get(html.replace('2027-01-20', '2027-01-21'), cookie)).status).toBe(404)
  })

  it('opens to an auditor for the very question that was opened (invariant 11)', async () => {
    const office = await real.cookieFor('office')
    const page = await (await real.get(`/trace/recall/of?${query}`, office)).text()
    expect(page).toContain('Open to an auditor')
    await real.post(at, { cookie: office })
    const start = { kind: 'source', id: ids.source } as const
    const question = { start, agent: 'GLRaV-3', foundOn: '2027-01-20' }
    const cookie = await real.auditorCookie([{ kind: 'recall', question }])
    const opened = await (await real.get('/opened', cookie)).text()
    expect(opened).toContain('GLRaV-3 in source')
    expect(opened).toContain(`href="${at.replaceAll('&', '&amp;')}"`)
    expect((await real.post(at, { cookie })).status).toBe(303)
    const forms = await formsOn(at, cookie)
    for (const form of forms) expect((await real.get(form, cookie)).status).toBe(200)
    const closed = [
      `/dossier/recall?${asked('2027-01-21')}`,
      at.replace('GLRaV-3', 'GRBV'),
      at.replace('source', 'lot'),
      '/dossier/recall',
      ...forms.map((form) => form.replace('GLRaV-3', 'GRBV')),
      lotPath,
      `/trace/recall/of?${query}`,
    ]
    for (const other of closed) {
      expect([other, (await real.get(other, cookie)).status]).toEqual([other, 403])
    }
    const other = await real.auditorCookie([{ kind: 'lot', lotId: ids.whiteLot }])
    expect((await real.get(at, other)).status).toBe(403)
    expect((await real.post(at, { cookie: other })).status).toBe(403)
  })

  it('is opened by the address of its page, and anything else is told at the form', async () => {
    const cookie = await real.cookieFor('administrator')
    const post = (recalls: string) => {
      const fields = { auditor: 'R. Pell', days: '3', lots: '', vines: '', recalls }
      return real.post('/people/audits/new', { cookie, fields })
    }
    const made = await post(`http://localhost/trace/recall/of?${query}`)
    expect(await made.text()).toContain('/open/')
    const form = await (
      await real.get(`/people/audits/new?recall=${encodeURIComponent(query)}`, cookie)
    ).text()
    expect(form).toContain('on=source')
    const none = await (await post(`of?${query}\nmy recall`)).text()
    expect(none).toContain('line 2: this asks for no recall; copy the address of its page')
    const gone = await (await post(query.replace(ids.source, newId()))).text()
    expect(gone).toContain('line 1: no entry tells of this source')
  })
})
