// Tells in one sentence what the examination of a sample showed.
import type { Entry } from '#wire/entry.ts'

type Names = ReadonlyMap<string, string>

/** The sentence for a check of buds, cambium or moisture. */
export function checkWords(
  entry: Entry<'check.viability'> | Entry<'check.moisture'>,
  names: Names,
): string {
  const { bundleId, used, note } = entry.body
  const of = bundleId === null ? '' : `, ${names.get(bundleId) ?? 'a bundle not registered here'}`
  const spent =
    used === null ? '' : `; ${used.count} ${used.unit}${used.count === 1 ? '' : 's'} used`
  const seen = entry.kind === 'check.viability' ? viabilityWords(entry) : moistureWords(entry)
  return `${seen}${of}${spent}${note === '' ? '' : `: ${note}`}`
}

function viabilityWords({ body }: Entry<'check.viability'>): string {
  const { method, sampledCount, liveCount, forcedDays } = body
  const days = forcedDays === null ? '' : ` after ${forcedDays} days`
  return `Checked (${method}): ${liveCount} of ${sampledCount} alive${days}`
}

function moistureWords({ body }: Entry<'check.moisture'>): string {
  const { measured } = body
  switch (measured.by) {
    case 'oven':
      return `Moisture by oven: ${measured.freshGrams} g fresh, ${measured.dryGrams} g dry`
    case 'meter':
      return `Moisture by meter: ${measured.percent} % of the ${measured.basis}`
    case 'weighing again':
      return `Weighed again: ${measured.atCutGrams} g at cutting, ${measured.nowGrams} g now`
  }
}
