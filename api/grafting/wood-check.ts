// Says from which account a sheet's buds can have come, and refuses more than it holds.
import { NIL_ID } from '#wire/basics.ts'
import type { AccountShape } from '#wire/basics.ts'
import { writtenTime } from '#trade/zone-time.ts'
import { budEquivalents } from '#trade/stock-left.ts'
import { piecesText } from '../lots/pieces.ts'
import type { FieldProblem } from '../platform/errors.ts'
import type { WoodPosition } from '../store/positions.ts'

/** Wood of one lot in one account: of one bundle, loose, or of any bundle there. */
export type WoodOption = {
  /** What the form sends back. */
  key: string
  account: AccountShape
  accountName: string
  bundleId: string | null
  /** What it is, like `North crew: 40 sticks, 200 buds`. */
  label: string
  buds: number
  firstAt: Date
}

/**
 * The options of a lot, crews and people first. Wood in a bath is not among them: it is taken out
 * before it is set. Where an account holds several parts, all of them together are an option too.
 */
export function woodOptions(positions: readonly WoodPosition[]): WoodOption[] {
  const dry = positions.filter((position) => position.account.kind !== 'bath')
  const accounts = new Map<string, WoodPosition[]>()
  for (const position of dry) {
    const key = `${position.account.kind}_${position.account.id}`
    accounts.set(key, [...(accounts.get(key) ?? []), position])
  }
  const options = [...accounts].flatMap(([key, parts]) => [
    ...(parts.length > 1 ? [together(key, parts)] : []),
    ...parts.map(single),
  ])
  const place = (option: WoodOption) => (option.account.kind === 'holder' ? 0 : 1)
  return options.sort((one, other) => place(one) - place(other))
}

/** The wood chosen holds the buds, and was there at the time. */
export function woodProblems(
  option: WoodOption,
  sheet: { vines: number; budsPerVine: number; at: Date; zone: string },
  fields: { wood: string; when: string },
): FieldProblem[] {
  const problems: FieldProblem[] = []
  const needed = sheet.vines * sheet.budsPerVine
  if (needed > option.buds) {
    const message =
      `${sheet.vines} vines × ${sheet.budsPerVine} are ${needed} buds, and ` +
      `${option.accountName} holds ${option.buds}: record the handover of more wood first, ` +
      'or choose where the rest came from and enter it as a sheet of its own'
    problems.push({ field: fields.wood, message })
  }
  const minute = (at: Date) => Math.floor(at.getTime() / 60_000)
  if (minute(sheet.at) < minute(option.firstAt)) {
    const since = writtenTime(option.firstAt.getTime(), sheet.zone)
    const message = `${option.accountName} has had this wood only since ${since}: check the time`
    problems.push({ field: fields.when, message })
  }
  return problems
}

function single(position: WoodPosition): WoodOption {
  const part = position.bundleNumber === null ? 'loose' : `bundle ${position.bundleNumber}`
  const buds = budEquivalents(position, position.budsPerStick)
  const { account, accountName, bundleId, firstAt } = position
  const what = `${part}, ${piecesText(position.material, position)}`
  const label = `${accountName}: ${what} (${buds} buds)`
  return { key: position.key, account, accountName, bundleId, label, buds, firstAt }
}

function together(key: string, parts: readonly WoodPosition[]): WoodOption {
  const [first] = parts
  if (first === undefined) throw new Error('an account with wood has a part of it')
  const buds = parts.reduce((sum, part) => sum + budEquivalents(part, part.budsPerStick), 0)
  const firstAt = parts.reduce((at, part) => (part.firstAt < at ? part.firstAt : at), first.firstAt)
  return {
    key: [first.lotId, NIL_ID, key, 'all'].join('_'),
    account: first.account,
    accountName: first.accountName,
    bundleId: null,
    label: `${first.accountName}: all of it, bundle not written down (${buds} buds)`,
    buds,
    firstAt,
  }
}
