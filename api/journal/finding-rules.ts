// The closed list of what the records can show to be wrong.
import { lotFindings } from '../lots/findings.ts'
import type { FindingRule } from './settle.ts'

export const findingRules: FindingRule[] = [...lotFindings]
