// Tonight's list as it is read and printed: times, what is short, and one tall line a bundle.
import { formatTagCode } from '#trade/tag-code.ts'
import type { NeedGroup, PullLine, TonightProblem } from '#trade/tonight.ts'
import type { Tonight } from '../../grafting/tonight.ts'
import type { ReasonInWords } from '../../lots/judge-lots.ts'
import { Table } from '../layout.tsx'
import { PolicySources } from '../lots/lot-judgement.tsx'
import { shownTime } from '../times.ts'

type Props = { tonight: Tonight }
type WithWords = Props & { words: Map<string, ReasonInWords[]> }

/** The three times that matter, and how long the wood soaks. */
export function TimesLine({ tonight }: Props) {
  const { plan, zone, policies } = tonight
  const at = (time: number) => shownTime(new Date(time), zone)
  return (
    <section aria-labelledby="times">
      <h2 id="times">Ready at {at(tonight.asked.readyAt.getTime())}</h2>
      {plan.times === null ? null : (
        <p>
          Into the water by <strong>{at(plan.times.intoWaterAt)}</strong>, out by{' '}
          <strong>{at(plan.outOfWaterAt)}</strong>: {hours(plan.times.soakHours)} in water.
        </p>
      )}
      <PolicySources
        keys={['soakMinHours', 'soakMaxHours', 'fieldOverageShare', 'bathSticksPerLitre']}
        policies={policies}
      />
    </section>
  )
}

const hours = (count: number) => `${Number(count.toFixed(1))} hours`

/** What keeps the list from being whole, and what to do about it. */
export function Problems({ tonight }: Props) {
  const { problems, groups } = tonight.plan
  const short = groups.filter(({ shortage }) => shortage > 0)
  if (problems.length === 0 && short.length === 0) return null
  return (
    <ul class="care">
      {problems.map((problem) => (
        <li>{problemWords(problem, tonight)}</li>
      ))}
      {short.map((group) => (
        <li>
          <strong>
            Short of {group.shortage} buds of {woodWords(group, tonight)}.
          </strong>{' '}
          {group.budsToSet} are to be set, and fit wood for {group.budsFound} was found. Graft fewer
          rows, or ask the office for other wood.
        </li>
      ))}
    </ul>
  )
}

function problemWords(problem: TonightProblem, { zone, policies, plan }: Tonight): string {
  const at = (time: number) => shownTime(new Date(time), zone)
  const least = policies.soakMinHours.value
  const most = policies.soakMaxHours.value
  switch (problem.code) {
    case 'too late':
      return (
        `Too late to soak for ${least} hours by then: no dry wood is pulled. Wood put in now is ` +
        `ready at ${at(problem.soonestReadyAt)} at the soonest.`
      )
    case 'moved':
      return (
        `${at(problem.wishedAt)} would not soak for ${least} to ${most} hours: the time into the ` +
        `water was moved to ${at(plan.times?.intoWaterAt ?? problem.wishedAt)}.`
      )
    case 'no tank':
      return 'No tank can be used: register one, or choose one that no hold stands on.'
    case 'tanks full':
      return (
        `${problem.sticks} sticks find no room in the tanks chosen, at ` +
        `${policies.bathSticksPerLitre.value} sticks a litre: choose another tank.`
      )
  }
}

/** What each kind of wood is needed for. */
export function Needs({ tonight }: Props) {
  const { groups } = tonight.plan
  if (groups.length === 0) {
    return <p class="note">No vine of these rows is planned and still to be grafted.</p>
  }
  const head = ['Wood', 'Rows', 'Vines', 'Buds to set', 'With extra', 'On the list', 'Short of']
  return (
    <Table
      caption={`Needed, with ${Number((tonight.overageShare * 100).toFixed(1))} % extra`}
      head={head}
      numbers={[2, 3, 4, 5, 6]}
    >
      {groups.map((group) => (
        <tr>
          <td>{woodWords(group, tonight)}</td>
          <td>{rowWords(group, tonight)}</td>
          <td class="number">{group.vines}</td>
          <td class="number">{group.budsToSet}</td>
          <td class="number">{group.budsWanted}</td>
          <td class="number">{group.budsFound}</td>
          <td class="number">{group.shortage}</td>
        </tr>
      ))}
    </Table>
  )
}

function woodWords({ plan }: Pick<NeedGroup, 'plan'>, { needs }: Tonight): string {
  const need = needs.find(({ planNow }) => planNow.variety_id === plan.varietyId)
  const parts = [need?.planNow.variety ?? 'an unknown variety']
  if (plan.clone !== null) parts.push(`clone ${plan.clone}`)
  if (plan.minimumClass !== null) parts.push(`${plan.minimumClass} or stricter`)
  return parts.join(', ')
}

function rowWords({ rowIds }: NeedGroup, { rows }: Tonight): string {
  const named = rows.filter(({ row_id }) => rowIds.includes(row_id))
  const blocks = new Map<string, string[]>()
  for (const { block_name, label } of named) {
    const block = block_name ?? 'unknown block'
    blocks.set(block, [...(blocks.get(block) ?? []), label])
  }
  return [...blocks].map(([block, labels]) => `${block} ${labels.join(', ')}`).join('; ')
}

/** One tall line for each thing to pull, by tank, with boxes to tick with gloves on. */
export function Sheet({ tonight, words }: WithWords) {
  const { lines } = tonight.plan
  if (lines.length === 0) return <p class="note">There is nothing to pull.</p>
  const tankKeys = [...new Set(lines.map(({ stays, tankKey }) => (stays ? 'stays' : tankKey)))]
  return (
    <>
      {tankKeys.map((key) => (
        <TankSheet
          tonight={tonight}
          words={words}
          tankKey={key}
          lines={lines.filter(({ stays, tankKey }) => (stays ? 'stays' : tankKey) === key)}
        />
      ))}
    </>
  )
}

function TankSheet(props: WithWords & { tankKey: string | null; lines: PullLine[] }) {
  const { tonight, tankKey, lines, words } = props
  const heading = `sheet-${tankKey ?? 'none'}`
  const sticks = lines.reduce((sum, line) => sum + line.sticks, 0)
  const buds = lines.reduce((sum, line) => sum + line.buds, 0)
  const stays = tankKey === 'stays'
  const act = stays ? 'leave in' : 'pull'
  return (
    <section aria-labelledby={heading} class="sheet">
      <h2 id={heading}>{tankTitle(tonight, tankKey)}</h2>
      {stays ? null : <TankNote tonight={tonight} tankKey={tankKey} />}
      <Table
        caption={`${lines.length} to ${act}: ${sticks} sticks, ${buds} buds`}
        head={['Tag', 'Lot', 'From', 'Sticks', 'Buds', ...(stays ? [] : ['Pulled', 'In']), 'Out']}
        numbers={[4]}
      >
        {lines.map((line) => (
          <SheetRow tonight={tonight} line={line} words={words.get(line.woodKey) ?? []} />
        ))}
      </Table>
    </section>
  )
}

function tankTitle({ tanks, plan, zone }: Tonight, tankKey: string | null): string {
  const out = shownTime(new Date(plan.outOfWaterAt), zone)
  if (tankKey === 'stays') return `In water already: out by ${out}`
  const tank = tanks.find(({ tankId }) => tankId === tankKey)
  if (tank === undefined) return 'No tank has room for this'
  const into = plan.times === null ? '' : shownTime(new Date(plan.times.intoWaterAt), zone)
  return `Into ${tank.name} by ${into}, out by ${out}`
}

function TankNote({ tonight, tankKey }: Props & { tankKey: string | null }) {
  const tank = tonight.tanks.find(({ tankId }) => tankId === tankKey)
  if (tank === undefined) return null
  if (tank.bathId === null) {
    return (
      <p class="care">
        {tank.name} stands empty. Clean it, fill it with clean water and{' '}
        <a href="/soak/fill">record the filling</a> before the wood goes in.
      </p>
    )
  }
  const filled = tank.filledAt === null ? '' : `, filled ${shownTime(tank.filledAt, tonight.zone)}`
  return (
    <p class={tank.sticksIn > 0 ? 'care' : 'note'}>
      <a href={`/soak/${tank.bathId}`}>The bath that stands in it</a>
      {filled}
      {tank.sticksIn > 0
        ? `, has ${tank.sticksIn} sticks in it already: wood put in now shares their water. ` +
          'Empty and refill it first where you can.'
        : '.'}
    </p>
  )
}

function SheetRow(props: Props & { line: PullLine; words: ReasonInWords[] }) {
  const { tonight, line, words } = props
  const wood = tonight.wood.get(line.woodKey)
  if (wood === undefined) return null
  const whole = line.sticks === wood.sticks
  return (
    <tr class="tall">
      <td class="whole tag-large">
        {wood.tagCode === null ? 'no tag' : formatTagCode(wood.tagCode)}
      </td>
      <td>
        <a href={`/lots/${wood.lotId}`}>{wood.reference}</a>,{' '}
        {wood.bundleNumber === null ? 'loose' : `bundle ${wood.bundleNumber}`}
        <br />
        {wood.variety ?? 'unknown'} {wood.clone ?? ''}
        {words.map(({ sentence }) => (
          <span class="caution-line">{sentence}</span>
        ))}
      </td>
      <td>{wood.accountName}</td>
      <td class="whole">{whole ? `all ${line.sticks}` : `${line.sticks} of ${wood.sticks}`}</td>
      <td class="number">{line.buds}</td>
      {line.stays ? null : <TickBox label="pulled" />}
      {line.stays ? null : <TickBox label="in the water" />}
      <TickBox label="out of the water" />
    </tr>
  )
}

/** An empty box to tick on paper. */
function TickBox({ label }: { label: string }) {
  return (
    <td class="box">
      <span class="unseen">tick when {label}</span>
    </td>
  )
}

/** Wood of the varieties asked for that is not fit, each with what speaks against it. */
export function PassedOver({ tonight, words }: WithWords) {
  const { passedOver } = tonight.plan
  if (passedOver.length === 0) return null
  return (
    <section aria-labelledby="passed-over" class="on-screen">
      <h2 id="passed-over">Not pulled, and why</h2>
      <Table
        caption="Wood of these varieties that is passed over"
        head={['Lot', 'Where', 'Sticks', 'Why']}
        numbers={[2]}
      >
        {passedOver.map(({ woodKey }) => {
          const wood = tonight.wood.get(woodKey)
          if (wood === undefined) return null
          return (
            <tr>
              <td class="whole">
                <a href={`/lots/${wood.lotId}`}>{wood.reference}</a>,{' '}
                {wood.bundleNumber === null ? 'loose' : `bundle ${wood.bundleNumber}`}
              </td>
              <td>{wood.accountName}</td>
              <td class="number">{wood.sticks}</td>
              <td>{(words.get(woodKey) ?? []).map(({ sentence }) => sentence).join(' ')}</td>
            </tr>
          )
        })}
      </Table>
    </section>
  )
}
