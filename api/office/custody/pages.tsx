// Custody: who has which wood, handing over and taking back, and the holds.
import { Hono } from 'hono'
import type { Context } from 'hono'
import type { Env } from '../../platform/services.ts'
import { readChoices } from '../store/choices.ts'
import { handOverAction, returnAction } from '../store/wood-actions.tsx'
import { saveWoodAction, showWoodAction } from '../store/wood-action.tsx'
import type { WoodScope } from '../store/wood-action.tsx'
import { showAudit, showLotAudit } from './audit.tsx'
import { saveAnswer, saveRelease, showHold, showHolds } from './holds.tsx'
import { showInHand } from './in-hand.tsx'
import { savePlaceHold, showPlaceHold } from './place-hold.tsx'

export const custodyPages = new Hono<Env>()

custodyPages.get('/', showInHand)
custodyPages.get('/audit', showAudit)
custodyPages.get('/audit/:lotId', showLotAudit)
custodyPages.get('/holds', showHolds)
custodyPages.get('/holds/place', showPlaceHold).post('/holds/place', savePlaceHold)
custodyPages.get('/holds/:holdId', showHold)
custodyPages.post('/holds/:holdId/lift', saveRelease)
custodyPages.post('/holds/:holdId/answer', saveAnswer)
custodyPages.get('/hand-over', (c) => showWoodAction(c, handOverAction, { back: '/custody' }))
custodyPages.post('/hand-over', (c) => saveWoodAction(c, handOverAction, { back: '/custody' }))
custodyPages.get('/return', async (c) => showWoodAction(c, returnAction, await scopeOf(c)))
custodyPages.post('/return', async (c) => saveWoodAction(c, returnAction, await scopeOf(c)))

/** Everybody's wood, or that of the holder whom the address names. */
async function scopeOf(c: Context<Env>): Promise<WoodScope> {
  const asked = c.req.query('holder')
  const { holders } = await readChoices(c.get('services').db)
  const holder = holders.find(({ holderId }) => holderId === asked)
  if (holder === undefined) return { back: '/custody' }
  return { accountIds: [holder.holderId], about: `from ${holder.name}`, back: '/custody' }
}
