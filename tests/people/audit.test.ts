// An auditor's link sees what was opened to it, for as long as it was opened, and nothing else.
import { afterAll, beforeAll, describe, expect, it } from 'vitest'
import {
  endAuditLink,
  isOpened,
  listAuditLinks,
  makeAuditLink,
} from '../../api/people/audit-links.ts'
import type { OpenedThing } from '../../api/people/audit-links.ts'
import { newId } from '../../api/platform/clock.ts'
import { ids, layout, smallNursery } from '../grafting/small-nursery.ts'
import type { OfficeApp } from '../office-app.ts'
import { cookieOf, realApp } from './real-app.ts'
import type { RealApp } from './real-app.ts'

const other = { block: newId(), row: newId() }

let real: RealApp
beforeAll(async () => {
  real = await realApp()
  await smallNursery({ record: real.record } as OfficeApp)
  await real.record([
    { kind: 'block.registered', body: { blockId: other.block, name: 'Fell', note: '' } },
    {
      kind: 'row.laid_out',
      body: layout({ rowId: other.row, blockId: other.block, label: '9' }),
    },
  ])
})
afterAll(() => real.drop())

const lot: OpenedThing = { kind: 'lot', lotId: ids.whiteLot }
const block: OpenedThing = { kind: 'block', blockId: ids.block }
const vine: OpenedThing = { kind: 'vine', rowId: other.row, position: 7 }

const statusOf = async (path: string, cookie: string) => (await real.get(path, cookie)).status

describe('what was opened', () => {
  it('is a lot: its page and its origins, and no other lot, block, vine or list', async () => {
    const cookie = await real.auditorCookie([lot])
    const inside = [
      '/opened',
      `/lots/${ids.whiteLot}`,
      `/trace/back/lot/${ids.whiteLot}`,
      `/trace/back/lot/${ids.whiteLot}/origins.csv`,
      `/trace/forward/lot/${ids.whiteLot}`,
    ]
    for (const path of inside) expect([path, await statusOf(path, cookie)]).toEqual([path, 200])
    const outside = [
      `/lots/${ids.whiteLot2}`,
      `/lots/${ids.whiteLot}/split`,
      `/trace/back/lot/${ids.redLot}`,
      `/trace/forward/lot/${ids.redLot}`,
      `/trace/forward/source/${ids.whiteLot}`,
      `/trace/forward/source/${ids.source}`,
      `/blocks/${ids.block}`,
      `/blocks/rows/${ids.row1}`,
      `/blocks/vines/${ids.row1}/3`,
      `/lots/${newId()}`,
      '/lots',
      '/lots/cut',
      '/today',
      '/journal',
      '/findings',
      '/sources',
      `/sources/${ids.source}`,
      '/find?q=W-1',
      '/trace',
      '/people',
      '/people/devices',
      '/me',
      '/api/journal',
      '/api/lots',
      `/api/lots/${ids.whiteLot}`,
    ]
    for (const path of outside) expect([path, await statusOf(path, cookie)]).toEqual([path, 403])
  })

  it('is a block: its rows and every vine in them, and nothing of another block', async () => {
    const cookie = await real.auditorCookie([block])
    const inside = [
      `/blocks/${ids.block}`,
      `/blocks/${ids.block}/rows.csv`,
      `/blocks/rows/${ids.row1}`,
      `/blocks/vines/${ids.row1}/3`,
      `/trace/back/vine/${ids.row2}/4`,
    ]
    for (const path of inside) expect([path, await statusOf(path, cookie)]).toEqual([path, 200])
    const outside = [
      `/blocks/${other.block}`,
      `/blocks/rows/${other.row}`,
      `/blocks/vines/${other.row}/3`,
      `/trace/back/vine/${other.row}/3`,
      `/lots/${ids.whiteLot}`,
      `/blocks/${ids.block}/edit`,
      `/blocks/rows/${ids.row1}/graft`,
    ]
    for (const path of outside) expect([path, await statusOf(path, cookie)]).toEqual([path, 403])
  })

  it('is one vine: not its neighbours, its row or its block, however it is written', async () => {
    const cookie = await real.auditorCookie([vine])
    expect(await statusOf(`/blocks/vines/${other.row}/7`, cookie)).toBe(200)
    for (const position of [
      '6',
      '8',
      '07',
      '7.0',
      '7e0',
      '70',
      '-7',
      '0',
      '',
      ' 7',
      '9999999999',
    ]) {
      const path = `/blocks/vines/${other.row}/${position}`
      const status = await statusOf(path, cookie)
      expect([path, status === 403 || status === 404]).toEqual([path, true])
    }
    for (const path of [`/blocks/rows/${other.row}`, `/blocks/${other.block}`]) {
      expect([path, await statusOf(path, cookie)]).toEqual([path, 403])
    }
    const upper = `/blocks/vines/${other.row.toUpperCase()}/7`
    expect(await statusOf(upper, cookie)).toBe(403)
  })

  it('can be read and not written: no form of any page is taken', async () => {
    const cookie = await real.auditorCookie([lot, block, vine])
    const before = await real.services.db.selectFrom('entry').select('id').execute()
    for (const path of [
      `/lots/${ids.whiteLot}/split`,
      `/lots/${ids.whiteLot}/discard`,
      `/blocks/vines/${ids.row1}/3/take`,
      `/blocks/${ids.block}/edit`,
      '/custody/holds/place',
      '/people/new',
      '/people/audits/new',
      '/me/password',
    ]) {
      expect([path, (await real.post(path, { cookie })).status]).toEqual([path, 403])
    }
    expect(await real.services.db.selectFrom('entry').select('id').execute()).toEqual(before)
  })

  it('is listed by name, with links that all lead somewhere', async () => {
    const cookie = await real.auditorCookie([lot, block, vine])
    const page = await (await real.get('/opened', cookie)).text()
    expect(page).toContain('W-1')
    expect(page).toContain('Fell, row 9, position 7')
    const links = [...page.matchAll(/href="(\/(?:lots|blocks|trace)[^"]*)"/g)].map(([, to]) => to)
    expect(links).toHaveLength(5)
    for (const to of links) expect([to, await statusOf(to ?? '', cookie)]).toEqual([to, 200])
    expect(page).not.toContain('href="/today"')
    expect(page).not.toContain('href="/me"')
  })
})

describe('a link', () => {
  const link = (days = 3) => {
    const expiresAt = new Date(real.now().getTime() + days * 24 * 3_600_000)
    const given = { auditorName: 'R. Pell, Board of Vine Health', expiresAt, scope: [lot] }
    const by = { personId: real.idOf('administrator'), now: real.now() }
    return makeAuditLink(real.services.db, given, by)
  }

  it('opens by a button, so that a preview of it opens nothing', async () => {
    const { token, linkId } = await link()
    const shown = await real.get(`/open/${token}`)
    expect([shown.status, shown.headers.get('set-cookie')]).toEqual([200, null])
    expect(await shown.text()).toContain('R. Pell, Board of Vine Health')
    const opened = await real.post(`/open/${token}`)
    expect([opened.status, opened.headers.get('location')]).toEqual([303, '/opened'])
    expect(await statusOf('/opened', cookieOf(opened))).toBe(200)
    const line = (await listAuditLinks(real.services.db)).find((one) => one.link_id === linkId)
    expect(line).toMatchObject({ last_opened_at: real.now(), things: 1 })
    const stored = await real.services.db.selectFrom('audit_link').selectAll().execute()
    expect(JSON.stringify(stored)).not.toContain(token)
  })

  it('closes at its end and when it is ended, and with it every session it opened', async () => {
    const { token, linkId } = await link()
    const [first, second] = [await real.post(`/open/${token}`), await real.post(`/open/${token}`)]
    await endAuditLink(real.services.db, linkId, real.now())
    for (const opened of [first, second]) {
      expect((await real.get('/opened', cookieOf(opened))).status).toBe(303)
    }
    expect((await real.get(`/open/${token}`)).status).toBe(404)
    const short = await link(1)
    const opened = cookieOf(await real.post(`/open/${short.token}`))
    for (let hours = 0; hours < 23; hours += 1) {
      real.later(60)
      expect(await statusOf('/opened', opened)).toBe(200)
    }
    real.later(61)
    expect(await statusOf('/opened', opened)).toBe(303)
    expect((await real.post(`/open/${short.token}`)).status).toBe(404)
  })

  it('that is guessed, cut short or of another kind opens nothing', async () => {
    const { token } = await link()
    const session = (await real.cookieFor('administrator')).split('=')[1] ?? ''
    for (const guess of [token.slice(1), `${token}A`, token.toLowerCase(), session, '%00', "'"]) {
      expect([guess, (await real.get(`/open/${guess}`)).status]).toEqual([guess, 404])
    }
    expect((await real.get(`/set-password/${token}`)).status).toBe(404)
    expect((await real.get('/lots', `canemark=${token}`)).status).toBe(303)
  })

  it('and what it opens are made on a page, with each wrong line named', async () => {
    const cookie = await real.cookieFor('office')
    const make = (fields: Record<string, string>) =>
      real.post('/people/audits/new', {
        cookie,
        fields: { auditor: 'R. Pell', days: '5', ...fields },
      })
    const wrong = await make({ lots: 'W-1\nW-9', vines: 'Fell / 9 / 61\nFell 9 7\nFell / 8 / 1' })
    const page = await wrong.text()
    expect(wrong.status).toBe(422)
    expect(page).toContain('line 2: no lot is called W-9')
    expect(page).toContain('line 1: row 9 has positions 1 to 60')
    expect((await make({})).status).toBe(422)
    expect((await make({ lots: 'W-1', days: '91' })).status).toBe(422)
    const made = await (await make({ lots: 'W-1', vines: ' Fell/9/7 ', blocks: ids.block })).text()
    const [token = ''] = /(?<=http:\/\/localhost\/open\/)[\w-]{43}/.exec(made) ?? []
    const opened = cookieOf(await real.post(`/open/${token}`))
    expect(await statusOf(`/blocks/vines/${other.row}/7`, opened)).toBe(200)
    expect(await statusOf(`/blocks/vines/${ids.row1}/1`, opened)).toBe(200)
    expect(await statusOf(`/blocks/vines/${other.row}/8`, opened)).toBe(403)
  })

  it('asks the database nothing strange for what is no id', async () => {
    const { linkId } = await link()
    for (const lotId of ["' or 1=1", '', 'null', ids.whiteLot.toUpperCase()]) {
      expect(await isOpened(real.services.db, linkId, { kind: 'lot', lotId })).toBe(false)
    }
    const nan = { kind: 'vine', rowId: other.row, position: Number.NaN } as const
    expect(await isOpened(real.services.db, linkId, nan)).toBe(false)
  })
})
