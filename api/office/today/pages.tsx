// Today: what needs an answer, what is soaking or out, what is left to graft and to count.
import { Hono } from 'hono'
import type { Context } from 'hono'
import type { Child } from 'hono/jsx'
import { localDay } from '#trade/zone-time.ts'
import { readInHand } from '../../custody/in-hand.ts'
import { readHolds } from '../../custody/holds.ts'
import { planProgress, takeDue } from '../../grafting/work.ts'
import type { PlanProgress, TakeDue } from '../../grafting/work.ts'
import { countOpenFindings } from '../../journal/open-findings.ts'
import { countAside } from '../../journal/read.ts'
import { nurseryTimeZone, readNursery } from '../../nursery/read.ts'
import type { Env } from '../../platform/services.ts'
import { readStandingBaths } from '../../store/baths.ts'
import { show } from '../form-page.tsx'
import { Page, Table } from '../layout.tsx'
import { shownDay } from '../times.ts'
import { readFirstSteps } from './first-steps.ts'
import type { FirstStep } from './first-steps.ts'

export const todayPages = new Hono<Env>()

const dayMs = 86_400_000
/** Take is due from six weeks after grafting, and is asked for until half a year after. */
const dueFromDays = 42
const dueUntilDays = 180

todayPages.get('/', async (c) => {
  const { db, clock } = c.get('services')
  const now = clock.now()
  const zone = await nurseryTimeZone(db)
  const season = Number(localDay(now.getTime(), zone).slice(0, 4))
  const due = [dueUntilDays, dueFromDays].map((days) => new Date(now.getTime() - days * dayMs))
  const [nursery, tiles, steps, progress, take] = await Promise.all([
    readNursery(db),
    readTiles(c, zone),
    readFirstSteps(db),
    planProgress(db, season, zone),
    takeDue(db, due[0] ?? now, due[1] ?? now),
  ])
  return show(
    c,
    <Page c={c} title="Today" lead={`${shownDay(now, zone)}, ${nursery?.name ?? 'your nursery'}`}>
      <FirstSteps steps={steps} />
      <Tiles tiles={tiles} />
      <Progress season={season} progress={progress} />
      <TakeToCount due={take} zone={zone} />
    </Page>,
  )
})

type Tile = { count: number; label: string; href: string; note: string }

async function readTiles(c: Context<Env>, zone: string): Promise<Tile[]> {
  const { db } = c.get('services')
  const [findings, aside, holds, baths, inHand] = await Promise.all([
    countOpenFindings(db),
    countAside(db),
    readHolds(db),
    readStandingBaths(db),
    readInHand(db, zone),
  ])
  const standing = holds.filter((hold) => hold.liftedAt === null)
  const withWood = inHand.filter((holder) => holder.positions.length > 0)
  return [
    {
      count: findings,
      label: 'findings to answer',
      href: '/findings',
      note: 'what the records show',
    },
    { count: aside, label: 'set aside', href: '/journal/aside', note: 'not readable as entries' },
    {
      count: standing.length,
      label: standing.length === 1 ? 'hold stands' : 'holds stand',
      href: '/custody/holds',
      note: standing
        .slice(0, 3)
        .map((hold) => hold.onName ?? hold.onKind)
        .join(', '),
    },
    { count: baths.length, label: 'baths standing', href: '/soak', note: 'empty and refill each' },
    {
      count: withWood.length,
      label: 'holders have wood',
      href: '/custody',
      note: withWood
        .slice(0, 3)
        .map((holder) => holder.name)
        .join(', '),
    },
  ]
}

function Tiles({ tiles }: { tiles: Tile[] }) {
  return (
    <ul class="tiles">
      {tiles.map((tile) => (
        <li>
          <a href={tile.href}>
            <span class="big">{tile.count}</span> {tile.label}
          </a>
          <br />
          <span class="quiet">{tile.note}</span>
        </li>
      ))}
    </ul>
  )
}

function FirstSteps({ steps }: { steps: FirstStep[] }) {
  const open = steps.filter((step) => !step.done)
  if (open.length === 0) return null
  return (
    <section>
      <h2>To begin</h2>
      <ol>
        {steps.map((step) => (
          <li class={step.done ? 'quiet' : ''}>
            {step.done ? `${step.label} – done` : <a href={step.href}>{step.label}</a>}
          </li>
        ))}
      </ol>
    </section>
  )
}

function Progress({ season, progress }: { season: number; progress: PlanProgress[] }) {
  if (progress.length === 0) {
    return (
      <p class="note">
        Nothing is planned for {season}. <a href="/blocks">Open a block</a> to plan its rows.
      </p>
    )
  }
  const head: Child[] = ['Block', 'Variety', 'Clone', 'Rows', 'Vines', 'Grafted', 'Skipped', 'Left']
  return (
    <Table caption={`Grafting planned for ${season}`} head={head} numbers={[3, 4, 5, 6, 7]}>
      {progress.map((line) => (
        <tr>
          <td>{line.block_id === null ? 'not laid out' : <BlockLink line={line} />}</td>
          <td>{line.variety ?? 'unknown'}</td>
          <td>{line.clone ?? ''}</td>
          <td class="number">{line.rows}</td>
          <td class="number">{line.planned}</td>
          <td class="number">{line.grafted}</td>
          <td class="number">{line.skipped}</td>
          <td class="number">{Math.max(0, line.planned - line.grafted - line.skipped)}</td>
        </tr>
      ))}
    </Table>
  )
}

const BlockLink = ({ line }: { line: PlanProgress }) => (
  <a href={`/blocks/${line.block_id}`}>{line.block ?? 'unnamed'}</a>
)

function TakeToCount({ due, zone }: { due: TakeDue[]; zone: string }) {
  if (due.length === 0) return null
  return (
    <Table caption="Take to count" head={['Block', 'Row', 'Vines not looked at', 'Grafted from']}>
      {due.map((row) => (
        <tr>
          <td>{row.block ?? 'not laid out'}</td>
          <td>
            <a href={`/blocks/rows/${row.row_id}`}>{row.row_label ?? row.row_id}</a>
          </td>
          <td class="number">{row.vines}</td>
          <td>{shownDay(row.first_grafted_at, zone)}</td>
        </tr>
      ))}
    </Table>
  )
}
