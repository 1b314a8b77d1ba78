// Tags: the count of codes, the prints, and the way to every tag form.
import { Hono } from 'hono'
import { countTags, listPrints } from '../../labels/read-tags.ts'
import type { PrintLine, TagCounts } from '../../labels/read-tags.ts'
import { nurseryTimeZone } from '../../nursery/read.ts'
import type { Env } from '../../platform/services.ts'
import { show } from '../form-page.tsx'
import { Page, Table } from '../layout.tsx'
import { Saved } from '../saved.tsx'
import { shownTime } from '../times.ts'
import { addBindPages } from './bind.tsx'
import { addFormPages } from './label-forms.tsx'
import { addLotPrintPages } from './lot-print.tsx'
import { addPrintPages } from './print.tsx'
import { addRollPages } from './roll.tsx'
import { addTagPages } from './tag.tsx'

export const tagPages = new Hono<Env>()

tagPages.get('/', async (c) => {
  const { db } = c.get('services')
  const [counts, prints, zone] = await Promise.all([
    countTags(db),
    listPrints(db),
    nurseryTimeZone(db),
  ])
  return show(
    c,
    <Page
      c={c}
      title="Tags"
      lead="A code is on one thing at a time and is never used again."
      actions={
        <>
          <a class="button main" href="/tags/roll">
            Print a roll of unbound tags
          </a>
          <a class="button" href="/tags/bind">
            Bind a tag
          </a>
          <a class="button" href="/tags/forms">
            Label forms
          </a>
        </>
      }
    >
      <Saved c={c} />
      <Counts counts={counts} />
      <p class="quiet">
        To print tags for a lot’s bundles, open the lot and choose “Print tags”. To replace or
        reprint one, find it by its code.
      </p>
      <Prints prints={prints} zone={zone} />
    </Page>,
  )
})

addRollPages(tagPages)
addPrintPages(tagPages)
addLotPrintPages(tagPages)
addBindPages(tagPages)
addFormPages(tagPages)
addTagPages(tagPages)

function Counts({ counts }: { counts: TagCounts }) {
  return (
    <Table caption="Codes printed, and what became of them" head={['', 'Codes']}>
      {(
        [
          ['printed', counts.printed],
          ['on something', counts.bound],
          ['not used yet', counts.free],
          ['spoiled', counts.spoiled],
          ['replaced', counts.replaced],
        ] as const
      ).map(([what, count]) => (
        <tr>
          <td>{what}</td>
          <td class="number">{count}</td>
        </tr>
      ))}
    </Table>
  )
}

function Prints({ prints, zone }: { prints: PrintLine[]; zone: string }) {
  if (prints.length === 0) return <p class="note">Nothing was printed yet.</p>
  const head = ['When', 'What', 'Form', 'Codes', 'On something', 'Reprint because']
  return (
    <Table caption="Latest prints" head={head}>
      {prints.map((print) => (
        <tr>
          <td>
            <a href={`/tags/prints/${print.print_id}`}>{shownTime(print.occurred_at, zone)}</a>
          </td>
          <td>{print.payload}</td>
          <td>{print.form}</td>
          <td class="number">{print.codes}</td>
          <td class="number">{print.bound}</td>
          <td>{print.reprint_reason ?? ''}</td>
        </tr>
      ))}
    </Table>
  )
}
