// The pages of a recall: where it begins, what it reaches, its holds, notices and file.
import type { Hono } from 'hono'
import type { Env } from '../../platform/services.ts'
import { freshForm } from '../form.ts'
import { showRecallBegin } from './recall-begin.tsx'
import { saveRecallHolds } from './recall-holds.tsx'
import { showRecallNotices } from './recall-notices.tsx'
import { recallVinesFile, showRecall } from './recall-page.tsx'

/** Adds the pages of recalls. */
export function addRecallPages(pages: Hono<Env>): void {
  pages.get('/recall', showRecallBegin)
  pages.get('/recall/of', (c) => showRecall(c, freshForm()))
  pages.get('/recall/vines.csv', recallVinesFile)
  pages.get('/recall/notices', showRecallNotices)
  pages.post('/recall/holds', saveRecallHolds)
}
