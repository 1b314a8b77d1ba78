// Wood in the hands of crews and people: how much each has, and of which lots.
import type { Database } from '../../db/connect.ts'
import { budEquivalents } from '#trade/stock-left.ts'
import { readPositions } from '../store/positions.ts'
import type { WoodPosition } from '../store/positions.ts'
import { readHolders } from './holders.ts'

/** One holder with the wood in hand, and what it comes to in buds. */
export type InHand = {
  holderId: string
  name: string
  what: 'crew' | 'person' | 'left or not registered'
  positions: WoodPosition[]
  budEquivalents: number
}

/** Everyone who can hold wood, those with wood first; holders who have left show while they do. */
export async function readInHand(db: Database, zone: string): Promise<InHand[]> {
  const [holders, { positions }] = await Promise.all([
    readHolders(db),
    readPositions(db, zone, { kinds: ['holder'] }),
  ])
  const byHolder = new Map<string, WoodPosition[]>()
  for (const position of positions) {
    const { id } = position.account
    byHolder.set(id, [...(byHolder.get(id) ?? []), position])
  }
  const known = new Set(holders.map(({ holderId }) => holderId))
  const others = [...byHolder].flatMap(([holderId, [first]]) =>
    known.has(holderId) || first === undefined
      ? []
      : [{ holderId, name: first.accountName, what: 'left or not registered' as const }],
  )
  const all = [...holders, ...others].map((holder): InHand => {
    const own = byHolder.get(holder.holderId) ?? []
    const worth = own.reduce((sum, one) => sum + budEquivalents(one, one.budsPerStick), 0)
    return { ...holder, positions: own, budEquivalents: worth }
  })
  return [
    ...all.filter(({ positions: own }) => own.length > 0),
    ...all.filter(({ positions: own }) => own.length === 0),
  ]
}
