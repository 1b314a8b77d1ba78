// One vine: its layers drawn as a stack, every graft attempted, and what was done to it.
import type { Context } from 'hono'
import { photosOfVine } from '../../grafting/photos.ts'
import { readVine } from '../../grafting/read.ts'
import type { VineReading } from '../../grafting/read.ts'
import { readNames } from '../../journal/names.ts'
import { planAt } from '../../nursery/read-blocks.ts'
import { nurseryTimeZone } from '../../nursery/read.ts'
import type { Env } from '../../platform/services.ts'
import { show } from '../form-page.tsx'
import { Page } from '../layout.tsx'
import { found, pathId, pathPosition } from '../path-id.ts'
import { vineStates as stateWords } from '../pictures/block-map-vines.ts'
import { Saved } from '../saved.tsx'
import { shownDay } from '../times.ts'
import { rowTitle } from './row-page.tsx'
import { Life } from './vine-history.tsx'
import { VinePhotos } from './vine-photos.tsx'

/** The vine in the address, which must be a place of a row or have something recorded. */
export async function requiredVine(c: Context<Env>): Promise<VineReading> {
  const rowId = pathId(c, 'rowId', 'row')
  const position = pathPosition(c, 'position')
  return found(await readVine(c.get('services').db, rowId, position), 'vine')
}

/** A vine by its block, row and position. */
export function vineTitle({ facts: { row }, record }: VineReading): string {
  return `${rowTitle(row)}, vine ${record.position}`
}

/** Shows the vine in the address. */
export async function showVine(c: Context<Env>) {
  const { db } = c.get('services')
  const vine = await requiredVine(c)
  const zone = await nurseryTimeZone(db)
  const names = await readNames(db, idsNamed(vine))
  const { row } = vine.facts
  const { position } = vine.record
  const photos = await photosOfVine(db, row.row_id, position)
  return show(
    c,
    <Page
      c={c}
      title={vineTitle(vine)}
      lead={<Where vine={vine} />}
      actions={<Actions vine={vine} />}
    >
      <Saved c={c} />
      {vine.inRow ? null : (
        <p class="care">
          Row {row.label} has only {row.position_count} positions. What is recorded here belongs to
          another vine, or the row is longer than its layout says.
        </p>
      )}
      <Standing vine={vine} zone={zone} />
      {[...vine.lives].reverse().map((life, nr) => (
        <Life life={life} names={names} zone={zone} isNow={nr === 0} count={vine.lives.length} />
      ))}
      <VinePhotos photos={photos} rowId={row.row_id} position={position} zone={zone} />
    </Page>,
  )
}

function Where({
  vine: {
    facts: { row },
    sources,
  },
}: {
  vine: VineReading
}) {
  return (
    <>
      <a href={`/blocks/${row.block_id}`}>{row.block_name ?? 'Unknown block'}</a>,{' '}
      <a href={`/blocks/rows/${row.row_id}`}>row {row.label}</a>
      {sources.map((source) => (
        <>
          . Serves as source <a href={`/sources/${source.source_id}`}>{source.name}</a>
        </>
      ))}
    </>
  )
}

function Actions({ vine: { facts, record } }: { vine: VineReading }) {
  const { row_id: rowId } = facts.row
  const { position } = record
  const path = `/blocks/vines/${rowId}/${position}`
  return (
    <>
      <a class="button main" href={`/trace/back/vine/${rowId}/${position}`}>
        Trace back
      </a>
      <a class="button" href={`/trace/recall?on=vine+${rowId}+${position}`}>
        Recall from this vine
      </a>
      <a class="button" href={`/dossier/vine/${rowId}/${position}`}>
        Dossier
      </a>
      {record.absent === null ? (
        <>
          <a class="button" href={`/blocks/rows/${rowId}/graft?position=${position}`}>
            Enter a graft
          </a>
          <a class="button" href={`${path}/take`}>
            Count take
          </a>
          <a class="button" href={`${path}/skipped`}>
            Vine skipped
          </a>
          <a class="button" href={`${path}/removed`}>
            Vine removed
          </a>
        </>
      ) : null}
      <a class="button" href={`${path}/planted`}>
        Vine planted
      </a>
      <a class="button" href={`/sources/new?row=${rowId}&position=${position}`}>
        Register as a source
      </a>
    </>
  )
}

function Standing({ vine, zone }: { vine: VineReading; zone: string }) {
  const { now, facts, record } = vine
  const seasons = [...new Set(facts.plans.map((plan) => plan.season))].sort()
  const plans = seasons.flatMap((season) => planAt(facts.plans, season, record.position) ?? [])
  const when = now.at === null ? '' : `, ${shownDay(now.at, zone)}`
  return (
    <dl class="facts">
      <dt>Now</dt>
      <dd>
        <strong>{stateWords[now.state]}</strong>
        {when}
        {now.reason === null || now.reason === '' ? '' : `: ${now.reason}`}
      </dd>
      {plans.map((plan) => (
        <>
          <dt>Plan of {plan.season}</dt>
          <dd>
            {[
              plan.variety ?? 'unknown variety',
              plan.clone === null ? 'any clone' : `clone ${plan.clone}`,
              ...(plan.class === null ? [] : [`class ${plan.class}`]),
              ...(plan.method === null ? [] : [plan.method]),
              `${plan.buds_per_vine} ${plan.buds_per_vine === 1 ? 'bud' : 'buds'}`,
            ].join(', ')}
          </dd>
        </>
      ))}
    </dl>
  )
}

function idsNamed(vine: VineReading): string[] {
  return vine.lives.flatMap(({ life, stack }) => [
    ...[...life.grafts, ...life.checks, ...life.skips].map((one) => one.person_id),
    ...stack.layers.flatMap(({ varietyId, origin }) => [
      varietyId,
      ...(origin.kind === 'lot' ? [origin.lotId] : []),
      ...(origin.kind === 'source' ? [origin.sourceId] : []),
    ]),
  ])
}
