// Lots: the list, the ways by which a lot comes to be, its page, and what is done with its wood.
import { Hono } from 'hono'
import type { Context } from 'hono'
import type { Env } from '../../platform/services.ts'
import {
  discardAction,
  handOverAction,
  moveAction,
  returnAction,
  soakAction,
} from '../store/wood-actions.tsx'
import { saveWoodAction, showWoodAction } from '../store/wood-action.tsx'
import type { WoodAction, WoodScope } from '../store/wood-action.tsx'
import { postCombine, showCombine } from './combine.tsx'
import { saveCut, showCut } from './cut.tsx'
import { showLots } from './list.tsx'
import { lotOf } from './lot-of.ts'
import { showLot } from './lot.tsx'
import { saveMoisture, showMoisture } from './moisture-form.tsx'
import { showPurity } from './purity.tsx'
import { saveReceive, showReceive } from './receive.tsx'
import { saveSplit, showSplit } from './split.tsx'
import { saveViability, showViability } from './viability-form.tsx'

export const lotPages = new Hono<Env>()

lotPages.get('/', showLots)
lotPages.get('/cut', showCut).post('/cut', saveCut)
lotPages.get('/receive', showReceive).post('/receive', saveReceive)
lotPages.get('/combine', showCombine).post('/combine', postCombine)
lotPages.get('/:lotId', showLot)
lotPages.get('/:lotId/purity', showPurity)
lotPages.get('/:lotId/check', showViability).post('/:lotId/check', saveViability)
lotPages.get('/:lotId/moisture', showMoisture).post('/:lotId/moisture', saveMoisture)
lotPages.get('/:lotId/split', showSplit).post('/:lotId/split', saveSplit)
addAction('move', moveAction)
addAction('hand-over', handOverAction)
addAction('return', returnAction)
addAction('discard', discardAction)
addAction('soak', soakAction)

function addAction(path: string, action: WoodAction): void {
  const address = `/:lotId/${path}` as const
  lotPages.get(address, async (c) => showWoodAction(c, action, await scopeOf(c)))
  lotPages.post(address, async (c) => saveWoodAction(c, action, await scopeOf(c)))
}

async function scopeOf(c: Context<Env>): Promise<WoodScope> {
  const lot = await lotOf(c)
  const back = `/lots/${lot.lot_id}`
  return { lotId: lot.lot_id, lotReference: lot.reference, back }
}
