// English: the words of every job, in one list.
import { CHECKS_EN } from './checks/checks.en.ts'
import { CUT_EN } from './cut/cut.en.ts'
import { GRAFT_EN } from './graft/graft.en.ts'
import { ROW_EN } from './row.en.ts'
import { SAID_EN } from './said.en.ts'
import { TAKE_EN } from './take/take.en.ts'
import { TONIGHT_EN } from './tonight/tonight.en.ts'
import { TOOL_EN } from './tool/tool.en.ts'
import { WOOD_EN } from './wood/wood.en.ts'

export const JOBS_EN = {
  ...ROW_EN,
  ...SAID_EN,
  ...GRAFT_EN,
  ...TAKE_EN,
  ...TONIGHT_EN,
  ...TOOL_EN,
  ...CUT_EN,
  ...WOOD_EN,
  ...CHECKS_EN,
} as const
