// Tonight's list: which bundles to pull from where, into which tank by when, out by when.
import type { Context } from 'hono'
import { localDay } from '#trade/zone-time.ts'
import { readPlannedRows } from '../../grafting/tonight-needs.ts'
import { usualTimes } from '../../grafting/tonight-times.ts'
import { readTonight } from '../../grafting/tonight.ts'
import type { Tonight } from '../../grafting/tonight.ts'
import { reasonsInWords } from '../../lots/judge-lots.ts'
import type { ReasonInWords } from '../../lots/judge-lots.ts'
import { nurseryTimeZone, readPolicies } from '../../nursery/read.ts'
import type { Env } from '../../platform/services.ts'
import { readTanks } from '../../store/tanks.ts'
import { show } from '../form-page.tsx'
import { Page } from '../layout.tsx'
import { ProofLine } from '../proof-line.tsx'
import { SoakCare } from './soak.tsx'
import { readAsked, TonightForm } from './tonight-form.tsx'
import { Needs, PassedOver, Problems, Sheet, TimesLine } from './tonight-sheet.tsx'

/** The form, and under it the list that the address asks for. */
export async function showTonight(c: Context<Env>) {
  const { db, clock } = c.get('services')
  const now = clock.now()
  const [zone, { policies }] = [await nurseryTimeZone(db), await readPolicies(db, now)]
  const { asked, form } = readAsked(c, policies, now, zone)
  const tonight = asked === null ? null : await readTonight(db, asked, now)
  const season =
    tonight?.season ??
    Number(localDay(usualTimes(policies, now, zone).readyAt.getTime(), zone).slice(0, 4))
  const [rows, tanks] = await Promise.all([readPlannedRows(db, season), readTanks(db)])
  const words = tonight === null ? new Map() : await wordsOf(c, tonight)
  return show(
    c,
    <Page
      c={c}
      title="Tonight’s list"
      lead="What to pull and soak so that buds are ready in the morning. Nothing is recorded here."
    >
      {tonight === null ? null : <List tonight={tonight} words={words} />}
      <details open={tonight === null} class="on-screen">
        <summary>{tonight === null ? 'Ask for a list' : 'Ask for another list'}</summary>
        <TonightForm form={form} rows={rows} tanks={tanks} season={season} />
      </details>
      <SoakCare />
      {tonight === null ? null : <ProofLine c={c} />}
    </Page>,
    form.general === null ? 200 : 422,
  )
}

function List({ tonight, words }: { tonight: Tonight; words: Map<string, ReasonInWords[]> }) {
  return (
    <>
      <TimesLine tonight={tonight} />
      <Problems tonight={tonight} />
      <Needs tonight={tonight} />
      <Sheet tonight={tonight} words={words} />
      <PassedOver tonight={tonight} words={words} />
    </>
  )
}

/** What speaks against each piece of wood that is pulled or passed over, in words. */
async function wordsOf(c: Context<Env>, { plan }: Tonight) {
  const { db } = c.get('services')
  const words = new Map<string, ReasonInWords[]>()
  for (const { woodKey, fit } of [...plan.lines, ...plan.passedOver]) {
    if (words.has(woodKey)) continue
    const verdict = fit.use === 'no' ? 'stop' : fit.use
    words.set(woodKey, await reasonsInWords(db, { verdict, reasons: fit.reasons }))
  }
  return words
}
