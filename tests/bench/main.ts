// `npm run bench`: speed as ratios, both sides measured in the same run.
import { chooseServer } from '../server.ts'
import { benchDecoding } from './decoding-brief.ts'
import { benchFindings } from './findings.ts'
import { benchIngest } from './ingest.ts'
import { benchLoad } from './load.ts'
import { benchPhone } from './phone.ts'
import { benchSnapshot } from './snapshot.ts'
import { benchGrafting } from './scanner-graft.ts'
import { benchThermal } from './thermal.ts'
import { benchProofs } from './proofs.ts'
import { benchTrace } from './trace.ts'

const server = await chooseServer()
console.log(`bench on ${server.engine}, Node ${process.version}`)
try {
  await benchIngest(server.adminUrl, 20_000)
  await benchFindings(server.adminUrl, 500_000)
  await benchLoad(server.adminUrl)
  await benchProofs(server.adminUrl, 5_000)
  await benchSnapshot(server.adminUrl)
  await benchPhone(server.adminUrl)
  await benchDecoding()
  await benchGrafting(server.adminUrl)
  await benchThermal(server.adminUrl)
  await benchTrace(server.adminUrl, 10_000)
  await benchTrace(server.adminUrl, 100_000)
  await benchTrace(server.adminUrl, 1_000_000)
} finally {
  await server.stop()
}
