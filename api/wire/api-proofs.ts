// Checkpoints and proofs of the journal's tree as the machine API tells of them.
import { z } from 'zod'

/** A hash of the tree: 32 bytes in base64, as checkpoints write them. */
const TreeHash = z
  .string()
  .regex(/^[A-Za-z0-9+/]{43}=$/)
  .describe('32 bytes in base64 (RFC 4648 §4)')

/** The newest signed checkpoint, and the keys that may have signed it. */
export const ApiCheckpoint = z
  .object({
    size: z.int().min(1).describe('entries that it covers'),
    root: TreeHash,
    note: z.string().describe('the signed note (C2SP signed-note), byte for byte'),
    madeAt: z.iso.datetime(),
    keys: z
      .array(
        z.object({
          key: z.string().describe('NAME+HASH+KEY'),
          succession: z.string().nullable().describe('the note in which the key before named it'),
        }),
      )
      .describe('the oldest first; know the key from elsewhere than from here'),
  })
  .meta({ id: 'Checkpoint' })

/** That an entry is in the tree of so many entries (RFC 6962 §2.1.1). */
export const ApiInclusionProof = z
  .object({
    index: z.int().min(0),
    size: z.int().min(1),
    leaf: TreeHash,
    root: TreeHash,
    hashes: z.array(TreeHash).describe('from the leaf upwards'),
  })
  .meta({ id: 'InclusionProof' })

/** That the tree of `size` entries extends that of the first `before` (RFC 6962 §2.1.2). */
export const ApiConsistencyProof = z
  .object({
    before: z.int().min(1),
    size: z.int().min(1),
    beforeRoot: TreeHash,
    root: TreeHash,
    hashes: z.array(TreeHash),
  })
  .meta({ id: 'ConsistencyProof' })
