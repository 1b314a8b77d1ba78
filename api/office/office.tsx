// All office pages, one folder for each menu entry.
import { Hono } from 'hono'
import type { Env } from '../platform/services.ts'
import { custodyPages } from './custody/pages.tsx'
import { blockPages } from './blocks/pages.tsx'
import { beginPages } from './begin/pages.tsx'
import { dossierPages } from './dossier/pages.tsx'
import { exchangePages } from './exchange/pages.tsx'
import { findingPages } from './findings/pages.tsx'
import { journalPages } from './journal/pages.tsx'
import { lotPages } from './lots/pages.tsx'
import { mePages } from './me/pages.tsx'
import { nurseryPages } from './nursery/pages.tsx'
import { openedPages } from './opened/pages.tsx'
import { peoplePages } from './people/pages.tsx'
import { soakPages } from './soak/pages.tsx'
import { sourcePages } from './sources/pages.tsx'
import { storePages } from './store/pages.tsx'
import { tagPages } from './tags/pages.tsx'
import { todayPages } from './today/pages.tsx'
import { findPages, tracePages } from './trace/pages.tsx'

export const office = new Hono<Env>()

office.get('/', (c) => c.redirect('/today', 302))
office.route('/lots', lotPages)
office.route('/store', storePages)
office.route('/soak', soakPages)
office.route('/custody', custodyPages)
office.route('/trace', tracePages)
office.route('/find', findPages)
office.route('/journal', journalPages)
office.route('/nursery', nurseryPages)
office.route('/sources', sourcePages)
office.route('/tags', tagPages)
office.route('/today', todayPages)
office.route('/begin', beginPages)
office.route('/findings', findingPages)
office.route('/blocks', blockPages)
office.route('/people', peoplePages)
office.route('/me', mePages)
office.route('/opened', openedPages)
office.route('/dossier', dossierPages)
office.route('/exchange', exchangePages)
