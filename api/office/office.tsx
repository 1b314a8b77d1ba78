// All office pages, one folder for each menu entry.
import { Hono } from 'hono'
import type { Env } from '../platform/services.ts'
import { journalPages } from './journal/pages.tsx'
import { lotPages } from './lots/pages.tsx'
import { nurseryPages } from './nursery/pages.tsx'
import { sourcePages } from './sources/pages.tsx'
import { findPages, tracePages } from './trace/pages.tsx'

export const office = new Hono<Env>()

office.get('/', (c) => c.redirect('/today', 302))
office.route('/lots', lotPages)
office.route('/trace', tracePages)
office.route('/find', findPages)
office.route('/journal', journalPages)
office.route('/nursery', nurseryPages)
office.route('/sources', sourcePages)
