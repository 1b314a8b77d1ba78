// Blocks: rows and vines, what is planned on them, what was grafted, and how it took.
import { Hono } from 'hono'
import type { Env } from '../../platform/services.ts'
import { showBlock } from './block-page.tsx'
import { saveGraftForm, showGraftForm } from './graft-form.tsx'
import { confirmImport, downloadRows, previewUpload, showUpload } from './import.tsx'
import { saveLayout, showLayoutForm } from './layout-form.tsx'
import { saveBlock, showBlockForm, showBlocks } from './list.tsx'
import { saveBlockPlan, saveRowPlan, showBlockPlan, showRowPlan } from './plan.tsx'
import { showRow } from './row-page.tsx'
import { saveRows, showRowsForm } from './rows-form.tsx'
import { showSupply } from './supply.tsx'
import { saveTakeForm, showTakeForm } from './take-form.tsx'
import { graftRemovedForm, plantForm, removeForm, skipForm } from './vine-forms.tsx'
import { showVine } from './vine-page.tsx'
import { showPhoto } from './vine-photos.tsx'

export const blockPages = new Hono<Env>()

blockPages.get('/', showBlocks)
blockPages.get('/new', showBlockForm).post(saveBlock)
blockPages.get('/plans', showSupply)

blockPages.get('/rows/:rowId', showRow)
blockPages.get('/rows/:rowId/edit', showLayoutForm).post(saveLayout)
blockPages.get('/rows/:rowId/plan', showRowPlan).post(saveRowPlan)
blockPages.get('/rows/:rowId/graft', showGraftForm).post(saveGraftForm)
blockPages.get('/rows/:rowId/take', showTakeForm).post(saveTakeForm)

blockPages.get('/vines/:rowId/:position', showVine)
blockPages.get('/vines/:rowId/:position/photos/:sha256', showPhoto)
blockPages.get('/vines/:rowId/:position/take', showTakeForm).post(saveTakeForm)
blockPages.get('/vines/:rowId/:position/skipped', skipForm.show).post(skipForm.save)
blockPages.get('/vines/:rowId/:position/removed', removeForm.show).post(removeForm.save)
blockPages.get('/vines/:rowId/:position/planted', plantForm.show).post(plantForm.save)
blockPages.get('/grafts/:graftId/removed', graftRemovedForm.show).post(graftRemovedForm.save)

blockPages.get('/:blockId', showBlock)
blockPages.get('/:blockId/edit', showBlockForm).post(saveBlock)
blockPages.get('/:blockId/rows.csv', downloadRows)
blockPages.get('/:blockId/rows/new', showRowsForm).post(saveRows)
blockPages.get('/:blockId/import', showUpload).post(previewUpload)
blockPages.post('/:blockId/import/confirm', confirmImport)
blockPages.get('/:blockId/plan', showBlockPlan).post(saveBlockPlan)
