// Ties wood into bundles, and says what the law's package counts have to say about their size.
import { BUNDLE_LIMIT } from '#wire/kinds/lots.ts'
import type { EntryBody } from '#wire/entry.ts'
import { advisePackageCount, scionPackageKind } from '#trade/package-count.ts'
import type { PackageKind } from '#trade/package-count.ts'
import { newId } from '../platform/clock.ts'
import type { FieldProblem } from '../platform/errors.ts'
import { pieceWord } from './pieces.ts'

export type Bundles = EntryBody<'lot.cut'>['bundles']

/** How many bundles of how many pieces; null where the person typed nothing. */
export type BundleWish = { bundleCount: number | null; piecesEach: number | null }

/**
 * Makes the bundles wished for out of `count` pieces; what is left over stays loose. Problems are
 * at `fields`, and then there are no bundles.
 */
export function makeBundles(
  wish: BundleWish,
  whole: { unit: 'stick' | 'bud'; count: number; material: string },
  fields: { bundleCount: string; piecesEach: string },
): { bundles: Bundles; problems: FieldProblem[] } {
  const { bundleCount, piecesEach } = wish
  const none = (field: string, message: string) => ({ bundles: [], problems: [{ field, message }] })
  if (bundleCount === null && piecesEach === null) return { bundles: [], problems: [] }
  const words = whole.unit === 'bud' ? 'buds' : pieceWord(whole.material, 2)
  if (bundleCount === null) return none(fields.bundleCount, 'say how many bundles are tied')
  if (piecesEach === null) return none(fields.piecesEach, `say how many ${words} each bundle has`)
  if (bundleCount > BUNDLE_LIMIT) {
    const message = `at most ${BUNDLE_LIMIT} bundles can be tied at a time: tie the rest as a split`
    return none(fields.bundleCount, message)
  }
  const tied = bundleCount * piecesEach
  if (tied > whole.count) {
    const message =
      `${bundleCount} bundles of ${piecesEach} are ${tied} ${words}, ` +
      `and there are only ${whole.count}: tie fewer or smaller bundles`
    return none(fields.piecesEach, message)
  }
  const bundles = Array.from({ length: bundleCount }, () => ({
    bundleId: newId(),
    unit: whole.unit,
    count: piecesEach,
  }))
  return { bundles, problems: [] }
}

/** The row of the legal table for wood of a lot, or null where the table has none. */
export function packageKind(material: string, budsPerStick: number): PackageKind | null {
  switch (material) {
    case 'scion wood':
      return scionPackageKind(budsPerStick)
    case 'rootstock wood':
      return budsPerStick === 0 ? 'nursery_cutting' : 'rootstock_cutting'
    case 'grafted vine':
      return 'grafted_vine'
    case 'rooted vine':
      return 'rooted_vine'
    default:
      return null
  }
}

/** What to tell about a bundle of `count` pieces; null when there is nothing to say. */
export function bundleAdvice(
  material: string,
  budsPerStick: number,
  unit: string,
  count: number,
): string | null {
  const kind = packageKind(material, budsPerStick)
  if (kind === null || unit !== 'stick') return null
  return advisePackageCount(kind, count).warning
}
