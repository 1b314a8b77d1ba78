// GET /api/checkpoint and /api/proofs/…: for whoever holds the journal against what they kept.
import { createRoute, z } from '@hono/zod-openapi'
import type { OpenAPIHono } from '@hono/zod-openapi'
import { ApiCheckpoint, ApiConsistencyProof, ApiInclusionProof } from '#wire/api-proofs.ts'
import { lastCheckpoint } from '../journal/checkpoints.ts'
import { knownKeys } from '../journal/checkpoint-keys.ts'
import { keyText } from '../journal/note.ts'
import { journalSize } from '../journal/read-journal.ts'
import { consistencyProof, inclusionProofs, leafAt, rootAt } from '../journal/tree.ts'
import type { Database } from '../../db/connect.ts'
import { refuse } from '../platform/errors.ts'
import { answer } from './answer.ts'
import type { ApiEnv, Readers } from './device.ts'
import { wholeNumber } from './parameters.ts'
import { problems } from './problems.ts'

/** Adds the operations to the machine API. */
export function addProofReads(api: OpenAPIHono<ApiEnv>, readers: Readers): void {
  api.openapi(checkpointRoute(readers), async (c) => {
    const { db } = c.get('services')
    const last = await lastCheckpoint(db)
    if (last === null) refuse('no_checkpoint', 'nothing was signed yet', { status: 404 })
    const keys = (await knownKeys(db)).map((key) => ({
      key: keyText(key),
      succession: key.succession,
    }))
    const { size, note, madeAt } = last
    const told = { size, note, madeAt, root: base64(last.root), keys }
    return c.json(answer(ApiCheckpoint, told), 200)
  })
  api.openapi(inclusionRoute(readers), async (c) => {
    const { db } = c.get('services')
    const { index, size } = c.req.valid('param')
    await refuseBeyond(db, size)
    if (index >= size) {
      refuse('beyond_journal', `entry ${index} is not among the first ${size}`, { status: 404 })
    }
    const [proofs, leaf, root] = await Promise.all([
      inclusionProofs(db, [index], size),
      leafAt(db, index),
      rootAt(db, size),
    ])
    const hashes = (proofs[0] ?? []).map(base64)
    const told = { index, size, leaf: base64(leaf), root: base64(root), hashes }
    return c.json(answer(ApiInclusionProof, told), 200)
  })
  api.openapi(consistencyRoute(readers), async (c) => {
    const { db } = c.get('services')
    const { before, size } = c.req.valid('param')
    await refuseBeyond(db, size)
    if (before > size) {
      const detail = `${before} entries cannot come before ${size}: give the smaller size first`
      refuse('beyond_journal', detail, { status: 404 })
    }
    const [proof, beforeRoot, root] = await Promise.all([
      consistencyProof(db, before, size),
      rootAt(db, before),
      rootAt(db, size),
    ])
    const roots = { beforeRoot: base64(beforeRoot), root: base64(root) }
    return c.json(
      answer(ApiConsistencyProof, { before, size, ...roots, hashes: proof.map(base64) }),
      200,
    )
  })
}

const base64 = (bytes: Buffer) => bytes.toString('base64')

async function refuseBeyond(db: Database, size: number): Promise<void> {
  const held = await journalSize(db)
  if (size <= held) return
  refuse('beyond_journal', `the journal holds ${held} entries, not ${size}`, { status: 404 })
}

const failures = problems(400, 401, 403, 404, 429)

const checkpointRoute = (readers: Readers) =>
  createRoute({
    method: 'get',
    path: '/checkpoint',
    operationId: 'readCheckpoint',
    tags: ['journal'],
    summary: 'Read the newest signed checkpoint, to keep it where this server cannot reach',
    middleware: readers,
    responses: {
      200: {
        description: 'the checkpoint',
        content: { 'application/json': { schema: ApiCheckpoint } },
      },
      ...failures,
    },
  })

const Size = wholeNumber(1, Number.MAX_SAFE_INTEGER)

const inclusionRoute = (readers: Readers) =>
  createRoute({
    method: 'get',
    path: '/proofs/inclusion/{index}/{size}',
    operationId: 'proveInclusion',
    tags: ['journal'],
    summary: 'Prove that an entry is in the journal of a checkpoint',
    description: 'RFC 6962 §2.1.1; check it as in RFC 9162 §2.1.3.2, against a root that you hold.',
    middleware: readers,
    request: {
      params: z.strictObject({ index: wholeNumber(0, Number.MAX_SAFE_INTEGER), size: Size }),
    },
    responses: {
      200: {
        description: 'the proof',
        content: { 'application/json': { schema: ApiInclusionProof } },
      },
      ...failures,
    },
  })

const consistencyRoute = (readers: Readers) =>
  createRoute({
    method: 'get',
    path: '/proofs/consistency/{before}/{size}',
    operationId: 'proveConsistency',
    tags: ['journal'],
    summary: 'Prove that the journal of a checkpoint extends an earlier one',
    description: 'RFC 6962 §2.1.2; check it as in RFC 9162 §2.1.4.2, against roots that you hold.',
    middleware: readers,
    request: { params: z.strictObject({ before: Size, size: Size }) },
    responses: {
      200: {
        description: 'the proof',
        content: { 'application/json': { schema: ApiConsistencyProof } },
      },
      ...failures,
    },
  })
