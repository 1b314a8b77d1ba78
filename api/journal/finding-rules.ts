// The closed list of what the records can show to be wrong.
import { handoverFindings } from '../custody/handover-findings.ts'
import { holdFindings } from '../custody/hold-findings.ts'
import { graftFindings } from '../grafting/findings.ts'
import { tagFindings } from '../labels/findings.ts'
import { lotFindings } from '../lots/findings.ts'
import { originFindings } from '../lots/origin-findings.ts'
import { rowFindings } from '../nursery/findings.ts'
import { sourceFindings } from '../sources/findings.ts'
import { checkFindings } from '../store/check-findings.ts'
import { storeFindings } from '../store/findings.ts'
import { clockFindings, deviceFindings } from './device-findings.ts'
import type { FindingRule } from './finding-rule.ts'

/** Rules that give the same findings in whatever order the same entries came in (invariant 2). */
export const findingRules: FindingRule[] = [
  ...lotFindings,
  ...originFindings,
  ...holdFindings,
  ...handoverFindings,
  ...sourceFindings,
  ...rowFindings,
  ...graftFindings,
  ...tagFindings,
  ...storeFindings,
  ...checkFindings,
  ...deviceFindings,
]

/**
 * Rules that look at when entries were recorded: a rebuild gives the same again, another delivery
 * of the same entries does not.
 */
export const recordRules: FindingRule[] = clockFindings
