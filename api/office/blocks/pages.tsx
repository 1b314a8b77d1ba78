// Blocks: every address under /blocks and the page that answers it.
import { Hono } from 'hono'
import type { Env } from '../../platform/services.ts'
import { showBlock } from './block-page.tsx'
import { confirmImport, downloadRows, previewUpload, showUpload } from './import.tsx'
import { saveLayout, showLayoutForm } from './layout-form.tsx'
import { saveBlock, showBlockForm, showBlocks } from './list.tsx'
import { saveBlockPlan, saveRowPlan, showBlockPlan, showRowPlan } from './plan.tsx'
import { showRow } from './row-page.tsx'
import { saveRows, showRowsForm } from './rows-form.tsx'
import { showSupply } from './supply.tsx'
import { showVine } from './vine-page.tsx'

export const blockPages = new Hono<Env>()

blockPages.get('/', showBlocks)
blockPages.get('/new', showBlockForm)
blockPages.post('/new', saveBlock)
blockPages.get('/plans', showSupply)
blockPages.get('/rows/:rowId', showRow)
blockPages.get('/rows/:rowId/edit', showLayoutForm)
blockPages.post('/rows/:rowId/edit', saveLayout)
blockPages.get('/rows/:rowId/plan', showRowPlan)
blockPages.post('/rows/:rowId/plan', saveRowPlan)
blockPages.get('/vines/:rowId/:position', showVine)
blockPages.get('/:blockId', showBlock)
blockPages.get('/:blockId/edit', showBlockForm)
blockPages.post('/:blockId/edit', saveBlock)
blockPages.get('/:blockId/plan', showBlockPlan)
blockPages.post('/:blockId/plan', saveBlockPlan)
blockPages.get('/:blockId/rows/new', showRowsForm)
blockPages.post('/:blockId/rows/new', saveRows)
blockPages.get('/:blockId/rows.csv', downloadRows)
blockPages.get('/:blockId/import', showUpload)
blockPages.post('/:blockId/import', previewUpload)
blockPages.post('/:blockId/import/confirm', confirmImport)
