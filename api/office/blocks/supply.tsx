// What the plans of a season need: how many sticks to cut or order, with the arithmetic shown.
import type { Context } from 'hono'
import type { Policies, Policy } from '#trade/policies.ts'
import { plannedSeasons, readSupply } from '../../grafting/supply.ts'
import type { SupplyLine } from '../../grafting/supply.ts'
import { readPolicies } from '../../nursery/read.ts'
import type { Env } from '../../platform/services.ts'
import { show } from '../form-page.tsx'
import { Page, Table } from '../layout.tsx'
import { policyNames, policyValueWords } from '../nursery/policy-words.ts'
import { thisYear } from './rows-form.tsx'
import { seasonAsked } from './season-choice.tsx'

/** Shows the plans of the season asked for; this year's unless told. */
export async function showSupply(c: Context<Env>) {
  const { db, clock } = c.get('services')
  const seasons = await plannedSeasons(db)
  const year = await thisYear(c)
  const fallback = seasons.includes(year) ? year : (seasons[0] ?? year)
  const season = seasonAsked(c.req.query('season')) ?? fallback
  const { policies } = await readPolicies(db, clock.now())
  const lines = await readSupply(db, season, policies)
  return show(
    c,
    <Page
      c={c}
      title={`Plans and wood to cut for ${season}`}
      lead="Every vine that is planned and stands, and the wood that setting all of them takes."
    >
      <Seasons seasons={seasons} season={season} />
      {lines.length === 0 ? (
        <p class="note">
          Nothing is planned for {season}. Plan a row on its page, or several on a block’s.
        </p>
      ) : (
        <>
          <PlanTable lines={lines} />
          <OrderTable lines={lines} policies={policies} />
          <Sources policies={policies} />
        </>
      )}
    </Page>,
  )
}

function Seasons({ seasons, season }: { seasons: number[]; season: number }) {
  if (seasons.length < 2) return null
  return (
    <nav class="parts" aria-label="Season">
      <ul>
        {seasons.map((year) => (
          <li>
            <a
              href={`/blocks/plans?season=${year}`}
              {...(year === season ? { 'aria-current': 'true' as const } : {})}
            >
              {year}
            </a>
          </li>
        ))}
      </ul>
    </nav>
  )
}

function PlanTable({ lines }: { lines: SupplyLine[] }) {
  const head = [
    'Variety',
    'Class',
    'Rows',
    'Vines planned',
    'Grafted',
    'Skipped',
    'Still to graft',
    'Buds at hand',
  ]
  return (
    <Table caption="How far the plans are" head={head}>
      {lines.map((line) => (
        <tr>
          <th scope="row">{woodWords(line)}</th>
          <td>{line.class ?? 'any'}</td>
          <td class="number">{line.rows}</td>
          <td class="number">{line.vines}</td>
          <td class="number">{line.grafted}</td>
          <td class="number">{line.skipped}</td>
          <td class="number">{line.vines - line.grafted - line.skipped}</td>
          <td class="number">{line.budsAtHand}</td>
        </tr>
      ))}
    </Table>
  )
}

function OrderTable({ lines, policies }: { lines: SupplyLine[]; policies: Policies }) {
  const head = ['Variety', 'How it is worked out', 'Sticks', 'Still to graft: sticks', 'Packages']
  return (
    <Table caption="Wood to cut or order" head={head}>
      {lines.map((line) => (
        <tr>
          <th scope="row">{woodWords(line)}</th>
          <td>{arithmetic(line, policies)}</td>
          <td class="number">
            <strong>{line.order.sticks}</strong>
          </td>
          <td class="number">{line.stillToGraft.sticks}</td>
          <td>{packageWords(line, policies)}</td>
        </tr>
      ))}
    </Table>
  )
}

function woodWords(line: SupplyLine): string {
  const clone = line.clone === null ? 'any clone' : `clone ${line.clone}`
  return `${line.variety ?? 'unknown'}, ${clone}`
}

function arithmetic(line: SupplyLine, policies: Policies): string {
  const { order, vines, budsPerVine } = line
  const extra = Number((policies.fieldOverageShare.value * 100).toFixed(4))
  const perStick = policies.usableBudsPerStick.value
  return (
    `${vines} vines × ${budsPerVine} buds = ${order.budsToSet} buds; ` +
    `+ ${extra} % = ${order.budsToOrder} buds; ` +
    `÷ ${perStick} buds on a stick = ${order.sticks} sticks, rounded up`
  )
}

function packageWords({ order }: SupplyLine, policies: Policies): string {
  const { packages, sparesInPackages } = order
  const size = policies.scionPackageSticks.value
  const over = sparesInPackages === 0 ? '' : `, ${sparesInPackages} over`
  return `${packages} of ${size}${over}`
}

function Sources({ policies }: { policies: Policies }) {
  const used: Policy[] = [
    policies.fieldOverageShare,
    policies.usableBudsPerStick,
    policies.scionPackageSticks,
  ]
  return (
    <Table caption="The numbers used, and who says so" head={['Policy', 'Value', 'Source', 'But']}>
      {used.map((policy) => (
        <tr>
          <th scope="row">
            <a href={`/nursery/policies/${policy.key}`}>{policyNames[policy.key]}</a>
          </th>
          <td>{policyValueWords(policy)}</td>
          <td>
            {policy.source}. {policy.sourceNote}
          </td>
          <td>{policy.disagreement ?? ''}</td>
        </tr>
      ))}
    </Table>
  )
}
