// The page that any phone opens from a label: what the tag is on, without a sign-in.
import { Hono } from 'hono'
import type { Context } from 'hono'
import type { Child } from 'hono/jsx'
import { formatTagCode, parseTagInput, tagProblemText } from '#trade/tag-code.ts'
import { readTag } from '../../labels/read-tags.ts'
import type { TagDetail } from '../../labels/read-tags.ts'
import { readNursery } from '../../nursery/read.ts'
import type { Env } from '../../platform/services.ts'
import { show } from '../form-page.tsx'

/**
 * Mounted at /T and /t, for labels carry the address in upper case. It shows what is printed on a
 * label anyway (lot, variety, clone, class) and nothing of where the wood is or who has it.
 */
export const lookupPages = new Hono<Env>()

lookupPages.get('/:code', async (c) => {
  const { db } = c.get('services')
  const input = parseTagInput(c.req.param('code'))
  const nursery = (await readNursery(db))?.name ?? 'this nursery'
  if (!input.ok) return answer(c, 'No tag', <p>{tagProblemText(input)}</p>, 404)
  const shown = formatTagCode(input.code)
  const tag = await readTag(db, input.code)
  if (tag === null) {
    return answer(c, shown, <p>This code was not printed by {nursery}.</p>, 404)
  }
  return answer(c, shown, <TagWords tag={tag} nursery={nursery} />, 200)
})

function TagWords({ tag, nursery }: { tag: TagDetail; nursery: string }) {
  return (
    <>
      <p>A tag of {nursery}.</p>
      {tag.lot_reference === null ? (
        <p>It is not on a lot.</p>
      ) : (
        <dl class="facts">
          <dt>Lot</dt>
          <dd>{tag.lot_reference}</dd>
          <dt>Variety</dt>
          <dd>{tag.variety ?? 'not on record'}</dd>
          <dt>Clone</dt>
          <dd>{tag.clone ?? 'not on record'}</dd>
          <dt>Class</dt>
          <dd>{tag.class ?? 'not on record'}</dd>
        </dl>
      )}
      {tag.ended_how === null ? null : (
        <p>
          <strong>This tag was {tag.ended_how}.</strong> Do not rely on it: ask the nursery.
        </p>
      )}
      <p class="quiet">
        What the nursery’s records say. It is evidence, not a certificate or a plant passport.
      </p>
      <p>
        <a href={`/find?q=${tag.code}`}>Open it in the office</a> (sign-in needed)
      </p>
    </>
  )
}

function answer(c: Context<Env>, title: string, content: Child, status: 200 | 404) {
  return show(
    c,
    <html lang="en">
      <head>
        <meta charset="utf-8" />
        <meta name="viewport" content="width=device-width, initial-scale=1" />
        <meta name="robots" content="noindex" />
        <title>{`Tag ${title}`}</title>
        <link rel="stylesheet" href="/assets/office.css" />
      </head>
      <body>
        <main>
          <h1 class="code">{title}</h1>
          {content}
        </main>
      </body>
    </html>,
    status,
  )
}
