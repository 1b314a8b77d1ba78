// Lays what an own entry states of wood, tags, baths and holds over the records, or takes it off.
import type { SnapshotCodeShape, SnapshotLotShape } from '#wire/api-snapshot.ts'
import type { Looked, LotMove, Stated, TakenOver } from './own-facts.ts'
import { emptyLot } from './laid.ts'
import type { Laid } from './laid.ts'

/** 1 lays over; -1 takes off an entry that was withdrawn and is counted in. */
export type Sign = 1 | -1

const atHand: ReadonlySet<string> = new Set(['place', 'bath', 'holder', 'unknown'])

/** Lays lots, tags, baths and holds of an entry made at `at` (epoch milliseconds). */
export function overlayWood(laid: Laid, stated: Stated, at: number, sign: Sign): void {
  for (const { lotId, ...making } of stated.makings ?? []) {
    changeLot(laid, lotId, (lot) => ({
      ...lot,
      makings: withItem(lot.makings, making, sign, (one) => one.entryId === making.entryId).sort(
        (one, other) => one.at - other.at || (one.entryId < other.entryId ? -1 : 1),
      ),
    }))
  }
  for (const { lotId, parentId } of stated.parents ?? []) {
    changeLot(laid, lotId, ({ parents, ...lot }) => ({
      ...lot,
      parents: [...new Set(withItem(parents, parentId, sign, (one) => one === parentId))],
    }))
  }
  for (const { lotId, bundle } of stated.bundles ?? []) {
    changeLot(laid, lotId, ({ bundles, ...lot }) => ({
      ...lot,
      bundles: withItem(bundles, bundle, sign, ([id]) => id === bundle[0]),
    }))
  }
  const { looked } = stated
  if (looked !== undefined) overlayChecks(laid, looked, at, sign)
  for (const move of stated.moves ?? []) addMove(laid, move, at, sign)
  overlayCodes(laid, stated, at, sign)
  overlayBaths(laid, stated, at, sign)
  const { hold } = stated
  if (hold !== undefined && sign === 1) laid.holds.push(hold)
  if (hold !== undefined && sign === -1) {
    const nr = laid.holds.findIndex(({ holdId }) => holdId === hold.holdId)
    if (nr >= 0) laid.holds.splice(nr, 1)
  }
}

/** A check of the lot’s wood, in its place among the others. */
function overlayChecks(
  laid: Laid,
  { lotId, counted, measured }: Looked,
  checkedAt: number,
  sign: Sign,
): void {
  const isSame = <T extends object>(fresh: T) => {
    const text = JSON.stringify(Object.entries(fresh).sort())
    return (one: T) => JSON.stringify(Object.entries(one).sort()) === text
  }
  const byTime = (one: { checkedAt: number }, other: { checkedAt: number }) =>
    one.checkedAt - other.checkedAt
  changeLot(laid, lotId, (lot) => {
    if (counted !== undefined) {
      const fresh = { ...counted, checkedAt }
      const viability = withItem(lot.viability, fresh, sign, isSame(fresh)).sort(byTime)
      return { ...lot, viability }
    }
    if (measured === undefined) return lot
    const fresh = { ...measured, checkedAt }
    return { ...lot, moisture: withItem(lot.moisture, fresh, sign, isSame(fresh)).sort(byTime) }
  })
}

/**
 * Wood taken over is in those hands, though the giver's entry has not come to this phone yet: it
 * leaves whatever holds it by the records, the store before any other hand. With the handover known
 * there is nothing to lay: it moved the wood.
 */
export function overlayTaken(laid: Laid, { handoverId, wood, holderId }: TakenOver, at: number) {
  if (laid.handovers.has(handoverId)) return
  const { lotId, bundleId, unit, count } = wood
  const of = { lotId, bundleId, unit }
  const held = (laid.lots.get(lotId)?.stock ?? []).flatMap(([kind, id, bundle, sticks, buds]) => {
    const isOwn = kind === 'holder' && id === holderId
    return bundle !== bundleId || isOwn
      ? []
      : [{ kind, id, there: unit === 'stick' ? sticks : buds }]
  })
  const rank = ({ kind }: { kind: string }) => ['place', 'bath', 'unknown', 'holder'].indexOf(kind)
  let open = count
  for (const { kind, id, there } of held.sort((one, other) => rank(one) - rank(other))) {
    const leaves = Math.min(open, there)
    if (leaves <= 0) continue
    open -= leaves
    addMove(laid, { ...of, kind, id, count: -leaves }, at, 1)
  }
  addMove(laid, { ...of, kind: 'holder', id: holderId, count }, at, 1)
}

function changeLot(
  laid: Laid,
  lotId: string,
  change: (lot: SnapshotLotShape) => SnapshotLotShape,
): void {
  laid.lots.set(lotId, change(laid.lots.get(lotId) ?? emptyLot(lotId)))
}

function addMove(laid: Laid, move: LotMove, at: number, sign: Sign): void {
  const { lotId, bundleId, kind, id, unit, count } = move
  if (!atHand.has(kind)) {
    // The lot is known from now on, if only as one that wood went to or came from.
    if (!laid.lots.has(lotId)) laid.lots.set(lotId, emptyLot(lotId))
    return
  }
  changeLot(laid, lotId, (lot) => {
    const stock = [...lot.stock]
    const nr = stock.findIndex(([k, i, bundle]) => k === kind && i === id && bundle === bundleId)
    const [, , , sticks = 0, buds = 0] = stock[nr] ?? []
    const now: SnapshotLotShape['stock'][number] = [
      kind,
      id,
      bundleId,
      sticks + (unit === 'stick' ? sign * count : 0),
      buds + (unit === 'bud' ? sign * count : 0),
    ]
    const isEmpty = now[3] === 0 && now[4] === 0
    if (nr >= 0) stock.splice(nr, 1, ...(isEmpty ? [] : [now]))
    else if (!isEmpty) stock.push(now)
    // Out of hands buds go by the thousand, and nothing asks when.
    if (kind !== 'place' && kind !== 'bath' && count < 0) return { ...lot, stock }
    const row: SnapshotLotShape['moves'][number] = [kind, id, unit, count, at, bundleId]
    const same = (one: typeof row) => one.every((value, place) => value === row[place])
    const moves = withItem(lot.moves, row, sign, same)
    return { ...lot, stock, moves: moves.sort((a, b) => a[4] - b[4] || b[3] - a[3]) }
  })
}

function overlayCodes(laid: Laid, { binding, end }: Stated, at: number, sign: Sign): void {
  if (binding !== undefined) {
    const { code, kind, id } = binding
    const row: SnapshotCodeShape['bindings'][number] = [kind, id, at]
    const same = (one: typeof row) => one[0] === kind && one[1] === id && one[2] === at
    changeCode(laid, code, (old) => ({
      ...old,
      bindings: withItem(old.bindings, row, sign, same).sort((a, b) => a[2] - b[2]),
    }))
  }
  if (end !== undefined) {
    const row: SnapshotCodeShape['ends'][number] = [end.how, at]
    const same = (one: typeof row) => one[0] === end.how && one[1] === at
    changeCode(laid, end.code, (old) => ({
      ...old,
      ends: withItem(old.ends, row, sign, same).sort((a, b) => a[1] - b[1]),
    }))
  }
}

function changeCode(
  laid: Laid,
  code: string,
  change: (code: SnapshotCodeShape) => SnapshotCodeShape,
): void {
  const old = laid.codes.get(code) ?? { code, printed: false, bindings: [], ends: [] }
  laid.codes.set(code, change(old))
}

function overlayBaths(laid: Laid, stated: Stated, at: number, sign: Sign): void {
  const change = (id: string, filled: [string, number] | null) => {
    const bath = laid.baths.get(id) ?? { id, filled: [], emptied: [] }
    if (filled === null) {
      const emptied = withItem(bath.emptied, at, sign, (one) => one === at).sort((a, b) => a - b)
      laid.baths.set(id, { ...bath, emptied })
      return
    }
    const same = (one: [string, number]) => one[0] === filled[0] && one[1] === at
    const all = withItem(bath.filled, filled, sign, same).sort((a, b) => a[1] - b[1])
    laid.baths.set(id, { ...bath, filled: all })
  }
  if (stated.filling !== undefined) {
    change(stated.filling.bathId, [stated.filling.placeId, at])
  }
  if (stated.emptiedBath !== undefined) change(stated.emptiedBath, null)
}

/** A copy with the item added, or with the first that is the same taken out. */
export function withItem<T>(
  items: readonly T[],
  item: T,
  sign: Sign,
  isSame: (one: T) => boolean,
): T[] {
  if (sign === 1) return [...items, item]
  const nr = items.findIndex(isSame)
  return items.filter((_, at) => at !== nr)
}
