// The records as the screens see them: looked up, judged, with this phone’s own entries in them.
import { standingAt } from '#trade/judge-sources.ts'
import { judge } from '#trade/judge.ts'
import type { Judgement } from '#trade/judge.ts'
import { policiesWith, POLICY_KEYS } from '#trade/policies.ts'
import type { Policies, PolicyOverrides } from '#trade/policies.ts'
import { planForLot } from '#trade/row-plan.ts'
import type { LotFacts, Standing } from '#trade/lot-facts.ts'
import { severityOf } from '#trade/reasons.ts'
import type { AccountShape, ThingShape } from '#wire/basics.ts'
import type * as Phone from '../phone.ts'
import type { OwnEntry } from '../snapshot-source.ts'
import { FactBook, leftOf } from './facts.ts'
import { findText, standingCodes } from './find.ts'
import type { Known } from './known.ts'
import type { Laid, LaidBath, LaidRow } from './laid.ts'
import { layOne, overlaid } from './overlay.ts'
import { plansOf, vinesOf } from './vines.ts'
import { yearIn } from './year-in.ts'

/** The last snapshot with own entries laid over it; built anew when either changes. */
export class SnapshotModel implements Phone.Snapshot {
  readonly takenAt: string
  readonly policies: Policies
  readonly people: readonly Phone.Named[]
  readonly parties: readonly Phone.PhoneParty[]
  readonly methods: readonly string[]
  readonly #known: Known
  readonly #laid: Laid
  readonly #facts: FactBook
  #names: Map<string, string> | null = null
  #codes: Map<string, string> | null = null
  #lotOfBundle: Map<string, string> | null = null
  readonly #lots = new Map<string, Phone.PhoneLot>()

  constructor(known: Known, queued: readonly OwnEntry[]) {
    const { setting, takenAt } = known.head
    this.takenAt = takenAt
    this.policies = policiesOf(setting.policies)
    this.people = setting.people
    this.parties = setting.parties
    this.methods = setting.methods
    this.#known = known
    this.#laid = overlaid(known, queued)
    this.#facts = new FactBook(this.#laid)
  }

  /** Lays one more own entry over it; not one that withdraws another: then build anew. */
  add(queued: OwnEntry): void {
    layOne(this.#laid, queued)
    this.#facts.forget()
    this.#lots.clear()
    const { kind } = queued
    if (kind === 'graft.made' || kind === 'vine.skipped' || kind === 'take.checked') return
    this.#names = null
    this.#codes = null
    this.#lotOfBundle = null
  }

  find(text: string): Phone.Found {
    const { host } = this.#known.head.setting
    return findText(text, { host, codeOf: (code) => this.#laid.codes.get(code) })
  }

  nameOf(id: string): string | null {
    this.#names ??= this.#allNames()
    return this.#names.get(id) ?? null
  }

  codeOf({ kind, id }: ThingShape): string | null {
    this.#codes ??= standingCodes(this.#laid.codes.values())
    return this.#codes.get(`${kind} ${id}`) ?? null
  }

  lot(lotId: string): Phone.PhoneLot | null {
    const before = this.#lots.get(lotId)
    if (before !== undefined) return before
    const facts = this.#facts.factsOf(lotId)
    const lot = this.#laid.lots.get(lotId)
    const made = lot?.makings[0]
    if (!facts.known || lot === undefined || made === undefined) return null
    const { reference, clone, className, material, budsPerStick, varietyId } = made
    const shown: Phone.PhoneLot = {
      ...{ lotId, reference, clone, className, material, budsPerStick, facts },
      varietyName: this.nameOf(varietyId) ?? '',
      bundles: lot.bundles.map(([bundleId, , unit, count]) => {
        return { bundleId, code: this.codeOf({ kind: 'bundle', id: bundleId }), unit, count }
      }),
      stock: lot.stock.map(([kind, id, bundleId, sticks, buds]) => {
        return { account: { kind: kind as AccountShape['kind'], id }, bundleId, sticks, buds }
      }),
    }
    this.#lots.set(lotId, shown)
    return shown
  }

  lotOfBundle(bundleId: string): Phone.PhoneLot | null {
    this.#lotOfBundle ??= new Map(
      [...this.#laid.lots.values()].flatMap(({ lotId, bundles }) =>
        bundles.map(([id]): [string, string] => [id, lotId]),
      ),
    )
    const lotId = this.#lotOfBundle.get(bundleId)
    return lotId === undefined ? null : this.lot(lotId)
  }

  lots(): readonly Phone.PhoneLot[] {
    return [...this.#laid.lots.values()]
      .filter((lot) => {
        const { sticks, buds } = leftOf(lot)
        return sticks > 0 || buds > 0
      })
      .flatMap((lot) => this.lot(lot.lotId) ?? [])
      .sort((one, other) => collator.compare(one.reference, other.reference))
  }

  row(rowId: string): Phone.PhoneRow | null {
    const row = this.#laid.rows.get(rowId)
    return row === undefined ? null : this.#rowOf(row)
  }

  rows(blockId: string): readonly Phone.PhoneRow[] {
    return [...this.#laid.rows.values()]
      .filter((row) => row.blockId === blockId)
      .sort(
        (one, other) => one.sequence - other.sequence || collator.compare(one.label, other.label),
      )
      .map((row) => this.#rowOf(row))
  }

  blocks(): readonly Phone.Named[] {
    return this.#known.head.blocks.map(({ id, name }) => ({ id, name }))
  }

  vines(rowId: string): readonly Phone.PhoneVine[] {
    const row = this.#laid.rows.get(rowId)
    return row === undefined ? [] : vinesOf(row, this.#known.head.setting.seasonFrom)
  }

  plans(rowId: string): readonly Phone.PhonePlan[] {
    const row = this.#laid.rows.get(rowId)
    return row === undefined ? [] : plansOf(row, (id) => this.nameOf(id) ?? '')
  }

  place(placeId: string): Phone.PhonePlace | null {
    return this.places().find((place) => place.id === placeId) ?? null
  }

  places(): readonly Phone.PhonePlace[] {
    return this.#known.head.setting.places
  }

  bath(bathId: string): Phone.PhoneBath | null {
    const bath = this.#laid.baths.get(bathId)
    return bath === undefined ? null : this.#bathOf(bath)
  }

  baths(): readonly Phone.PhoneBath[] {
    return [...this.#laid.baths.values()]
      .flatMap((bath) => this.#bathOf(bath) ?? [])
      .filter((bath) => !bath.emptied)
      .sort((one, other) => (one.filledAt < other.filledAt ? -1 : 1))
  }

  source(sourceId: string): Phone.PhoneSource | null {
    return this.sources().find((source) => source.id === sourceId) ?? null
  }

  sources(): readonly Phone.PhoneSource[] {
    const now = Date.parse(this.takenAt)
    return this.#known.head.sources.sources
      .flatMap((source): Phone.PhoneSource[] => {
        const { id, name, level, varietyId, clone, scheme, className } = source
        if (name === null || varietyId === null) return []
        const standings = source.standings.map(([standing, fromAt]) => {
          return { standing: standing as Standing, fromAt }
        })
        const standing = standingAt({ sourceId: id, standings }, now)?.standing ?? 'unknown'
        const varietyName = this.nameOf(varietyId) ?? ''
        const kind = level === 'vine' ? 'vine' : 'block'
        return [
          { id, name, level: kind, varietyId, varietyName, clone, scheme, className, standing },
        ]
      })
      .sort((one, other) => collator.compare(one.name, other.name))
  }

  judge(lotId: string, rowId: string | null, nowMs: number): Judgement | null {
    return this.#judged(this.#facts.factsOf(lotId), rowId, nowMs)
  }

  judgeWood(wood: Phone.WoodAtHand, rowId: string | null, nowMs: number): Judgement | null {
    const { lotId, bundleId } = wood
    const account = wood.account ?? null
    if (account === null && bundleId === null) return this.judge(lotId, rowId, nowMs)
    const stock = this.#laid.lots.get(lotId)?.stock ?? []
    const isIn = stock.filter(([, , ofBundle, sticks, buds]) => {
      return ofBundle === bundleId && (sticks > 0 || buds > 0)
    })
    const accounts = account === null ? isIn.map(([kind, id]) => ({ kind, id })) : [account]
    const judged = [...accounts.map((one) => ({ bundleId, account: one })), { bundleId }]
      .slice(0, Math.max(1, accounts.length))
      .map((asked) => this.#judged(this.#facts.factsOf(lotId, asked), rowId, nowMs))
    return judged.reduce((worst, one) => {
      return severityOf(one.verdict) > severityOf(worst.verdict) ? one : worst
    })
  }

  #judged(known: LotFacts, rowId: string | null, nowMs: number): Judgement {
    const facts = known.known ? { ...known, dryingAir: this.#facts.airAt(nowMs) } : known
    if (!facts.known || rowId === null) return judge(facts, this.policies, nowMs)
    const season = yearIn(this.#known.head.setting.timeZone, nowMs)
    const row = this.#laid.rows.get(rowId)
    const plans = (row?.plans ?? []).filter((plan) => plan.season === season)
    const stretches = plans.map((plan) => ({ rowId, ...plan }))
    return judge({ ...facts, plan: planForLot(stretches, facts, null) }, this.policies, nowMs)
  }

  #rowOf(row: LaidRow): Phone.PhoneRow {
    const { rowId, blockId, label, sequence, positionCount, headAt } = row
    const blockName = this.#known.head.blocks.find(({ id }) => id === blockId)?.name ?? ''
    return { rowId, blockId, blockName, label, sequence, positionCount, headAt }
  }

  #bathOf({ id, filled, emptied }: LaidBath): Phone.PhoneBath | null {
    const first = filled[0]
    if (first === undefined) return null
    const [placeId, at] = first
    const name = this.#known.head.setting.places.find((place) => place.id === placeId)?.name ?? ''
    const filledAt = new Date(at).toISOString()
    return { id, name, placeId, filledAt, emptied: emptied.length > 0 }
  }

  #allNames(): Map<string, string> {
    const { setting, sources, blocks } = this.#known.head
    const names = new Map<string, string>()
    const things = [...setting.people, ...setting.parties, ...setting.varieties]
    for (const { id, name } of [...things, ...setting.places, ...blocks]) names.set(id, name)
    for (const { id, name } of sources.sources) if (name !== null) names.set(id, name)
    for (const bath of this.#laid.baths.values()) {
      const name = this.#bathOf(bath)?.name ?? ''
      if (name !== '') names.set(bath.id, name)
    }
    for (const { rowId, blockId, label } of this.#laid.rows.values()) {
      names.set(rowId, `${names.get(blockId) ?? ''} ${label}`.trim())
    }
    for (const { lotId, makings } of this.#laid.lots.values()) {
      if (makings[0] !== undefined) names.set(lotId, makings[0].reference)
    }
    return names
  }
}

const collator = new Intl.Collator('en', { numeric: true })

/** A policy that this version of the app does not know, or cannot use, stays at its default. */
function policiesOf(settings: readonly { key: string; value: unknown; source: string }[]) {
  let overrides: PolicyOverrides = {}
  for (const { key, value, source } of settings) {
    if (!(POLICY_KEYS as readonly string[]).includes(key)) continue
    overrides = { ...overrides, [key]: { value, source } }
  }
  try {
    return policiesWith(overrides)
  } catch {
    return policiesWith({})
  }
}
