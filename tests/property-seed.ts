// Gives every property test the same cases in each run; CANEMARK_SEED asks for others.
import fc from 'fast-check'

const asked = process.env.CANEMARK_SEED
if (asked !== 'random') fc.configureGlobal({ seed: Number(asked ?? 20_271_128) })
