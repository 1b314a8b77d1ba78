// Spanish: the words of every job, in one list.
import { CHECKS_ES } from './checks/checks.es.ts'
import { CUT_ES } from './cut/cut.es.ts'
import { GRAFT_ES } from './graft/graft.es.ts'
import { ROW_ES } from './row.es.ts'
import { SAID_ES } from './said.es.ts'
import { TAKE_ES } from './take/take.es.ts'
import { TONIGHT_ES } from './tonight/tonight.es.ts'
import { TOOL_ES } from './tool/tool.es.ts'
import { WOOD_ES } from './wood/wood.es.ts'

export const JOBS_ES = {
  ...ROW_ES,
  ...SAID_ES,
  ...GRAFT_ES,
  ...TAKE_ES,
  ...TONIGHT_ES,
  ...TOOL_ES,
  ...CUT_ES,
  ...WOOD_ES,
  ...CHECKS_ES,
}
