// Soak: the baths, filling and emptying them, putting wood in and taking it out.
import { Hono } from 'hono'
import type { Context } from 'hono'
import type { Env } from '../../platform/services.ts'
import { soakAction, takeOutAction } from '../store/wood-actions.tsx'
import { saveWoodAction, showWoodAction } from '../store/wood-action.tsx'
import type { WoodScope } from '../store/wood-action.tsx'
import { bathOf, saveEmpty, saveFill, showBath, showEmpty, showFill } from './bath.tsx'
import { showSoak } from './soak.tsx'
import { showTonight } from './tonight.tsx'
import { saveTreat, showTreat } from './treat-form.tsx'
import { showTreatment, showTreatments } from './treatments.tsx'
import { saveWeather, showWeather } from './weather.tsx'

export const soakPages = new Hono<Env>()

soakPages.get('/', showSoak)
soakPages.get('/fill', showFill).post('/fill', saveFill)
soakPages.get('/tonight', showTonight)
soakPages.get('/treatments', showTreatments)
soakPages.get('/treatments/:entryId', showTreatment)
soakPages.get('/treat', showTreat).post('/treat', saveTreat)
soakPages.get('/weather', showWeather).post('/weather', saveWeather)
soakPages.get('/:bathId', showBath)
soakPages.get('/:bathId/empty', showEmpty).post('/:bathId/empty', saveEmpty)
soakPages.get('/:bathId/put-in', async (c) => showWoodAction(c, soakAction, await putIn(c)))
soakPages.post('/:bathId/put-in', async (c) => saveWoodAction(c, soakAction, await putIn(c)))
soakPages.get('/:bathId/take-out', async (c) => showWoodAction(c, takeOutAction, await takeOut(c)))
soakPages.post('/:bathId/take-out', async (c) => saveWoodAction(c, takeOutAction, await takeOut(c)))

async function putIn(c: Context<Env>): Promise<WoodScope> {
  const { bathId } = await bathOf(c)
  return { back: `/soak/${bathId}`, start: { bathId } }
}

async function takeOut(c: Context<Env>): Promise<WoodScope> {
  const { bathId, tankName } = await bathOf(c)
  return { accountIds: [bathId], about: `in ${tankName}`, back: `/soak/${bathId}` }
}
