// The whole demo: ground, two winters, two springs, and the summer in which the trouble shows.
import type { Entry } from '#wire/entry.ts'
import {
  acceptHandovers,
  careForWood,
  disinfectBetweenLots,
  lotsInStore,
  soakOvernight,
} from './care.ts'
import { readClimate } from './climate.ts'
import { enrolPhones, layGround, registerAuthority } from './ground.ts'
import { workSpring } from './spring.ts'
import { workSummer } from './summer.ts'
import { workWinter } from './winter.ts'
import { DemoWriter } from './writer.ts'

const seed = 20_260_401

/**
 * All entries of the demo in order of time, always the same for the same `now`: the last spring is
 * the latest whose summer is over, so that nothing lies in the future. `phoneKeys` are the public
 * keys that the phones are enrolled with, by device; a phone without one is not enrolled.
 */
export function demoSeason(now: Date, phoneKeys: ReadonlyMap<string, string> = new Map()): Entry[] {
  const year = lastFullYear(now)
  const writer = new DemoWriter(seed)
  const rows = layGround(writer, year - 1)
  const first = workSpring(writer, workWinter(writer, 0, year - 1), rows, 0, year - 1, [])
  const failed = first.filter((vine) => vine.growing === 0 && vine.row.block.key === 'upper')
  const stores = workWinter(writer, 1, year)
  const lots = lotsInStore(stores)
  workSpring(writer, stores, rows, 1, year, failed)
  workSummer(writer, rows, year)
  // Last, so that what chance gave the rest of the demo stays as it was.
  careForWood(writer, lots, year)
  soakOvernight(writer, year - 1)
  readClimate(writer, year, now)
  acceptHandovers(writer)
  disinfectBetweenLots(writer)
  registerAuthority(writer, year - 1)
  enrolPhones(writer, year - 1, phoneKeys)
  return writer.finish()
}

/** The year whose October has begun. */
function lastFullYear(now: Date): number {
  return now.getUTCMonth() >= 9 ? now.getUTCFullYear() : now.getUTCFullYear() - 1
}
