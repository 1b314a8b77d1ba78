// How this phone's grafter works: remembered from day to day, so that it is not asked again.
import { z } from 'zod'
import { Name } from '#wire/basics.ts'

export const Manner = z.strictObject({
  method: Name.nullable(),
  tie: Name.nullable(),
  disinfectant: Name.nullable(),
})
export type Manner = z.infer<typeof Manner>

/** Where it is kept. */
export const MANNER_KEY = 'graft.manner'
/** Where the stretch that is being grafted is kept. */
export const SESSION_KEY = 'graft.session'

export const noManner: Manner = { method: null, tie: null, disinfectant: null }
