// Cold store: what lies where, registering places, moving wood.
import { Hono } from 'hono'
import type { Context } from 'hono'
import type { Env } from '../../platform/services.ts'
import { climatePages } from '../climate/pages.tsx'
import { placesWithin, readPlaces } from '../../store/places.ts'
import { saveRegister, showRegister } from './register.tsx'
import { showStore } from './store.tsx'
import { moveAction } from './wood-actions.tsx'
import { saveWoodAction, showWoodAction } from './wood-action.tsx'
import type { WoodScope } from './wood-action.tsx'

export const storePages = new Hono<Env>()

storePages.get('/', showStore)
storePages.route('/', climatePages)
storePages.get('/register', showRegister).post('/register', saveRegister)
storePages.get('/move', async (c) => showWoodAction(c, moveAction, await scopeOf(c)))
storePages.post('/move', async (c) => saveWoodAction(c, moveAction, await scopeOf(c)))

/** All wood at hand, or what lies in the place that the address names. */
async function scopeOf(c: Context<Env>): Promise<WoodScope> {
  const places = await readPlaces(c.get('services').db)
  const place = places.find(({ placeId }) => placeId === c.req.query('place'))
  if (place === undefined) return { back: '/store' }
  return {
    accountIds: [...placesWithin(places, place.placeId)],
    about: `out of ${place.path}`,
    back: `/store?place=${place.placeId}`,
  }
}
