// The list of blocks, and the form that registers one or corrects its name.
import type { Context } from 'hono'
import { recordAtDesk } from '../../journal/desk.ts'
import { blockProblems } from '../../nursery/checks.ts'
import { listBlocks, readBlock } from '../../nursery/read-blocks.ts'
import { newId } from '../../platform/clock.ts'
import type { Env } from '../../platform/services.ts'
import { deskOf } from '../desk.ts'
import { freshForm } from '../form.ts'
import type { FormReader, FormState } from '../form.ts'
import { FormProblems, NoteField, show, submit, TextField } from '../form-page.tsx'
import { Page, Table } from '../layout.tsx'
import { found, pathId } from '../path-id.ts'
import { afterSaving, Saved } from '../saved.tsx'
import { typedName, typedNote } from '../typed-text.ts'

type Block = { block_id: string; name: string; note: string }

/** Shows all blocks. */
export async function showBlocks(c: Context<Env>) {
  const blocks = await listBlocks(c.get('services').db)
  return show(
    c,
    <Page
      c={c}
      title="Blocks"
      lead="Where vines stand: blocks of rows, positions counted from 1 at each row’s head."
      actions={
        <>
          <a class="button main" href="/blocks/new">
            Register a block
          </a>
          <a class="button" href="/blocks/plans">
            Plans and wood to cut
          </a>
        </>
      }
    >
      <Saved c={c} />
      {blocks.length === 0 ? (
        <p class="note">
          No block is registered. Register one, then read its rows from a spreadsheet or add them by
          hand.
        </p>
      ) : (
        <Table caption={`${blocks.length} blocks`} head={['Block', 'Rows', 'Places', 'Note']}>
          {blocks.map((block) => (
            <tr>
              <td>
                <a href={`/blocks/${block.block_id}`}>{block.name}</a>
              </td>
              <td class="number">{block.rows}</td>
              <td class="number">{block.places}</td>
              <td class="lines">{block.note}</td>
            </tr>
          ))}
        </Table>
      )}
    </Page>,
  )
}

/** Shows the form for a new block, or for the one in the address. */
export async function showBlockForm(c: Context<Env>) {
  const block = await blockInPath(c)
  return show(
    c,
    blockForm(c, block, freshForm({ name: block?.name ?? '', note: block?.note ?? '' })),
  )
}

/** Registers or corrects a block. */
export async function saveBlock(c: Context<Env>) {
  const block = await blockInPath(c)
  return submit(c, {
    save: (form) => save(c, block, form),
    page: (form) => blockForm(c, block, form),
  })
}

/** The block in the address, which must be registered. */
export async function requiredBlock(c: Context<Env>): Promise<Block> {
  const { db } = c.get('services')
  return found(await readBlock(db, pathId(c, 'blockId', 'block')), 'block')
}

async function blockInPath(c: Context<Env>): Promise<Block | null> {
  return c.req.param('blockId') === undefined ? null : requiredBlock(c)
}

async function save(c: Context<Env>, block: Block | null, form: FormReader): Promise<string> {
  const { db } = c.get('services')
  const name = typedName(form, 'name', 'the name')
  const note = typedNote(form, 'note', 'the note')
  const blockId = block?.block_id ?? null
  form.addProblems(blockProblems(await listBlocks(db), { blockId, name }))
  form.check()
  const id = blockId ?? newId()
  await recordAtDesk(db, deskOf(c), [
    { kind: 'block.registered', body: { blockId: id, name, note } },
  ])
  return afterSaving(`/blocks/${id}`, 1)
}

function blockForm(c: Context<Env>, block: Block | null, form: FormState) {
  return (
    <Page c={c} title={block === null ? 'Register a block' : `Correct ${block.name}`}>
      <form method="post">
        <FormProblems form={form} />
        <TextField form={form} name="name" label="Name" required />
        <NoteField form={form} name="note" label="Note" />
        <p class="actions">
          <button class="main">Save</button>
          <a class="button" href={block === null ? '/blocks' : `/blocks/${block.block_id}`}>
            Cancel
          </a>
        </p>
      </form>
    </Page>
  )
}
