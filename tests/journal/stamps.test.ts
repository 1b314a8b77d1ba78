// Stamps of time by an outside authority: what is kept holds by openssl too; what is wrong is not.
import { readFile, writeFile } from 'node:fs/promises'
import path from 'node:path'
import { sql } from 'kysely'
import { afterAll, beforeAll, beforeEach, describe, expect, it } from 'vitest'
import type { TestContext } from 'vitest'
import { deliveryBy } from '../../api/journal/checkpoint-delivery.ts'
import { checkpointFileName, stampFileName } from '../../api/journal/checkpoint-files.ts'
import { sendCheckpoints } from '../../api/journal/checkpoint-sending.ts'
import { lastCheckpoint } from '../../api/journal/checkpoints.ts'
import { keepSigning, signNow } from '../../api/journal/keep-signing.ts'
import { checkStampAnswer, tokenOf } from '../../api/journal/stamp-answer.ts'
import { listStamps, stampsCovering, stampWhenDue } from '../../api/journal/stamps.ts'
import type { KeptStamp } from '../../api/journal/stamps.ts'
import { readProofSettings } from '../../api/platform/proof-settings.ts'
import type { StampSettings } from '../../api/platform/proof-settings.ts'
import { recordAll } from '../ops/recorded-season.ts'
import { randomSeason } from '../sim/season.ts'
import { requireTool, toolPresent } from '../tools.ts'
import { forgedAnswer } from './forged-stamp.ts'
import { attachment, mailServer, testCertificate } from './mail-server.ts'
import { proofOffice } from './proof-office.ts'
import type { ProofOffice } from './proof-office.ts'
import { badAnswers, openssl, stampAuthority } from './stamp-authority.ts'
import type { StampAuthority } from './stamp-authority.ts'

let office: ProofOffice
let authority: StampAuthority | null = null
const season = randomSeason(20270602, 400)
let told = 0

beforeAll(async () => {
  office = await proofOffice('vines.example/journal')
  if (toolPresent('openssl')) authority = await stampAuthority()
})
afterAll(async () => {
  await authority?.close()
  await office.drop()
})
beforeEach(async () => {
  office.later(24 * 60)
  await recordAll(office.services.db, season.slice(told, (told += 10)), 97)
  await signNow(office.services)
})

function ours(context: TestContext): StampAuthority {
  requireTool(context, 'openssl')
  if (authority === null) throw new Error('the authority did not start')
  authority.answerAs('good')
  return authority
}

const settings = ({ url }: StampAuthority, over: Partial<StampSettings> = {}): StampSettings => {
  return { url, everyHours: 24, authorities: null, ...over }
}

const ask = (given: StampSettings, options = {}) =>
  stampWhenDue(office.services.db, given, office.services.clock.now(), options)

async function opensslSays(at: StampAuthority, { note, answer }: KeptStamp): Promise<string> {
  await writeFile(path.join(at.folder, 'note.txt'), note)
  await writeFile(path.join(at.folder, 'kept.tsr'), answer)
  const files = ['-data', 'note.txt', '-in', 'kept.tsr', '-CAfile', 'ca.pem']
  return openssl(at.folder, 'ts', '-verify', ...files).trim()
}

describe('a stamp', () => {
  it('of the newest checkpoint is kept as it came; openssl verifies it', async (context) => {
    const at = ours(context)
    await ask(settings(at))
    const [stamp] = await listStamps(office.services.db, { limit: 1 })
    if (stamp === undefined) throw new Error('nothing was kept')
    expect(stamp).toMatchObject({ size: told, isTrusted: false })
    expect(stamp.note).toBe((await lastCheckpoint(office.services.db))?.note)
    expect(stamp.authority).toBe('Stamps of the test, Test nursery')
    expect(await opensslSays(at, stamp)).toBe('Verification: OK')
    const text = openssl(at.folder, 'ts', '-reply', '-in', 'kept.tsr', '-text')
    const [, time = ''] = /Time stamp: (.+)/.exec(text) ?? []
    expect(stamp.stampedAt).toEqual(new Date(time))
    expect(await deliveryBy(office.services.db, 'stamp')).toMatchObject({
      size: told,
      problem: null,
    })
  })

  it('is asked for by SHA-256, with a nonce and for the certificate', async (context) => {
    const at = ours(context)
    const before = at.questions.length
    await ask(settings(at))
    const question = at.questions[before] ?? Buffer.alloc(0)
    await writeFile(path.join(at.folder, 'asked.tsq'), question)
    const text = openssl(at.folder, 'ts', '-query', '-in', 'asked.tsq', '-text')
    expect(text).toMatch(/Hash Algorithm: sha256/)
    expect(text).toMatch(/Nonce: 0x[0-9A-F]{32}\n/)
    expect(text).toMatch(/Certificate required: yes/)
    const { note = '' } = (await lastCheckpoint(office.services.db)) ?? {}
    await writeFile(path.join(at.folder, 'asked.txt'), note)
    const digest = openssl(at.folder, 'dgst', '-sha256', '-r', 'asked.txt').slice(0, 64)
    expect(question.toString('hex')).toContain(digest)
  })

  it('is asked for once in the hours set, and at once when somebody asks', async (context) => {
    const at = ours(context)
    const asked = () => at.questions.length
    const before = asked()
    await ask(settings(at))
    expect(asked()).toBe(before + 1)
    await recordAll(office.services.db, season.slice(told, (told += 1)), 97)
    office.later(23 * 60)
    await signNow(office.services)
    await ask(settings(at))
    expect(asked()).toBe(before + 1)
    await ask(settings(at), { isWanted: true })
    expect(asked()).toBe(before + 2)
    await ask(settings(at), { isWanted: true })
    expect(asked(), 'one checkpoint is stamped once').toBe(before + 2)
  })

  it('is asked for by one of several processes alone', async (context) => {
    const at = ours(context)
    const before = at.questions.length
    await Promise.all([1, 2, 3].map(() => ask(settings(at))))
    expect(at.questions.length).toBe(before + 1)
  })

  it('must lead to certificates that the nursery trusts, if it names any', async (context) => {
    const at = ours(context)
    const other = await stampAuthority('Another authority')
    try {
      await ask(settings(at, { authorities: other.ca }))
      const line = await deliveryBy(office.services.db, 'stamp')
      expect(line).toMatchObject({ deliveredAt: null })
      expect(line?.problem).toMatch(/does not lead to one in CANEMARK_STAMP_CA/)
      office.later(15)
      await ask(settings(at, { authorities: at.ca + other.ca }))
      const [stamp] = await listStamps(office.services.db, { limit: 1 })
      expect(stamp).toMatchObject({ size: told, isTrusted: true })
    } finally {
      await other.close()
    }
  })

  it('cannot be changed or taken out by the app or despite triggers', async (context) => {
    await ask(settings(ours(context)))
    const { owner, app } = office.database
    for (const statement of [
      'update checkpoint_stamp set authority = authority',
      'delete from checkpoint_stamp',
      'truncate checkpoint_stamp',
    ]) {
      await expect(sql.raw(statement).execute(app.db), statement).rejects.toThrow()
      await expect(sql.raw(statement).execute(owner.db), statement).rejects.toThrow(/append-only/)
    }
  })

  it('for each entry the earliest is told, and the newest, spread when they are many', async () => {
    const { db } = office.services
    const all = await listStamps(db, { limit: 100 })
    const sizes = [...new Set(all.map(({ size }) => size))].sort((one, other) => one - other)
    const first = sizes[0] ?? 0
    const newest = sizes.at(-1) ?? 0
    const covering = async (indexes: number[], size: number, limit: number) =>
      (await stampsCovering(db, indexes, { size, limit })).map((one) => one.size)
    expect(await covering([0], newest, 8)).toEqual([first, newest])
    expect(await covering([first], newest, 8)).toEqual([sizes[1], newest])
    expect(await covering([], first - 1, 8)).toEqual([])
    const every = sizes.map((size) => size - 1)
    expect(await covering(every, newest, 100)).toEqual(sizes)
    const few = await covering(every, newest, 3)
    expect([few.length, few[0], few[2]]).toEqual([3, first, newest])
  })
})

const problems: Record<(typeof badAnswers)[number], RegExp> = {
  rejected: /the authority refused: status 2, rejected: Message digest algorithm/,
  'other nonce': /does not name our nonce/,
  'other imprint': /about other bytes than this checkpoint/,
  'no certificate': /signature does not fit the certificate inside \(No certificates/,
  changed: /signature does not fit the certificate inside/,
  'changed time': /signature does not fit the certificate inside/,
  'cut off': /is no DER, is cut off, or goes on after its end/,
  longer: /goes on after its end/,
  garbage: /is no DER/,
  empty: /is no DER/,
  'too long': /more than 65536 bytes/,
  'status 500': /the authority answered 500/,
  redirect: /redirect/,
  silent: /did not answer whole within 0.4 seconds/,
  half: /did not answer whole within 0.4 seconds/,
}

describe('a stamp that was kept', () => {
  it('goes with the mail of its checkpoint, and to the folder with the note', async (context) => {
    const at = ours(context)
    const { db, clock } = office.services
    await ask(settings(at))
    const [stamp] = await listStamps(db, { limit: 1 })
    if (stamp === undefined) throw new Error('nothing was kept')
    const certificate = await testCertificate()
    const server = await mailServer(certificate, { tls: 'none' })
    try {
      const { mail } = readProofSettings({
        CANEMARK_CHECKPOINT_MAIL_SERVER: `smtp://127.0.0.1:${server.port}`,
        CANEMARK_CHECKPOINT_MAIL_FROM: 'journal@vines.example',
        CANEMARK_CHECKPOINT_MAIL_TO: 'keeper@else.example',
      })
      const folder = path.join(office.folder, 'stamped')
      await sendCheckpoints(db, { folder, url: null, mail }, clock.now())
      const name = checkpointFileName(stamp)
      const file = stampFileName(stamp)
      const [arrived] = server.mails
      if (arrived === undefined) throw new Error('nothing arrived')
      expect(attachment(arrived, file)).toEqual(stamp.answer)
      expect(attachment(arrived, name).toString('utf8')).toBe(stamp.note)
      expect(await readFile(path.join(folder, file))).toEqual(stamp.answer)
      expect(await readFile(path.join(folder, name), 'utf8')).toBe(stamp.note)
    } finally {
      await server.close()
      await certificate.drop()
    }
  })
})

describe('an answer that is wrong', () => {
  it.for(badAnswers)('(%s) is refused, its reason noted, nothing kept', async (bad, context) => {
    const at = ours(context)
    at.answerAs(bad)
    const before = await listStamps(office.services.db, { limit: 100 })
    await ask(settings(at), bad === 'silent' || bad === 'half' ? { waitMs: 400 } : {})
    const line = await deliveryBy(office.services.db, 'stamp')
    expect(line).toMatchObject({ size: told, deliveredAt: null })
    expect(line?.problem).toMatch(problems[bad])
    expect(await listStamps(office.services.db, { limit: 100 })).toEqual(before)
    at.answerAs('good')
    const asked = at.questions.length
    office.later(14)
    await ask(settings(at))
    expect(at.questions.length, 'left alone for a quarter of an hour').toBe(asked)
    office.later(1)
    await ask(settings(at))
    expect(await deliveryBy(office.services.db, 'stamp')).toMatchObject({ problem: null })
  })

  it('(signed by a certificate for other uses, or none named) is refused', async (context) => {
    const at = ours(context)
    await ask(settings(at))
    const [stamp] = await listStamps(office.services.db, { limit: 1 })
    if (stamp === undefined) throw new Error('nothing was kept')
    const { note } = stamp
    const check = async (forged: { answer: Buffer; nonce: Buffer }) =>
      checkStampAnswer(forged.answer, { note, nonce: forged.nonce }, null)
    const token = tokenOf(stamp.answer)
    const right = await forgedAnswer(at.folder, token, { signer: 'tsa', isNamed: true })
    expect((await check(right)).authority).toBe(stamp.authority)
    const unnamed = await forgedAnswer(at.folder, token, { signer: 'tsa', isNamed: false })
    await expect(check(unnamed)).rejects.toThrow(/does not name its certificate/)
    const misused = await forgedAnswer(at.folder, token, { signer: 'ca', isNamed: true })
    await expect(check(misused)).rejects.toThrow(/not one for time stamps alone/)
  })
})

describe('while the authority is silent', () => {
  it('signing, recording and stopping go on without it', async (context) => {
    const at = ours(context)
    at.answerAs('silent')
    const { services } = office
    if (services.proof === undefined) throw new Error('there are no keys')
    const asked = at.questions.length
    const signing = keepSigning(services, { ...services.proof, stamps: settings(at) }, () => {})
    await expect.poll(() => at.questions.length, { timeout: 10_000 }).toBe(asked + 1)
    await recordAll(services.db, season.slice(told, (told += 5)), 97)
    expect(await signNow(services)).toMatchObject({ size: told })
    expect(await deliveryBy(services.db, 'stamp')).toMatchObject({ deliveredAt: null })
    await signing.stop()
    const line = await deliveryBy(services.db, 'stamp')
    expect(line?.problem, 'the question was given up, not waited for').toMatch(/abort/i)
  })
})
