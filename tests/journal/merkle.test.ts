// The journal's tree gives the published roots and proofs, and takes no other proof for one.
import { createRequire } from 'node:module'
import { describe, expect, it } from 'vitest'
import fc from 'fast-check'
import { leafHash } from '../../api/journal/canonical.ts'
import {
  checkConsistency,
  checkInclusion,
  consistencySpans,
  emptyRoot,
  GrowingTree,
  inclusionSpans,
  joinNodes,
  nodeHash,
  nodesOf,
} from '../../api/journal/merkle.ts'
import type { Span } from '../../api/journal/merkle.ts'
import { path, proof as proofOf, treeHash } from './merkle-rfc.ts'

/** The eight leaves of the test tree that Certificate Transparency logs are tested with. */
const leafData = [
  '',
  '00',
  '10',
  '2021',
  '3031',
  '40414243',
  '5051525354555657',
  '606162636465666768696a6b6c6d6e6f',
].map((hex) => Buffer.from(hex, 'hex'))
const leaves = leafData.map(leafHash)
const roots = [
  'e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855',
  '6e340b9cffb37a989ca544e6bb780a2c78901d3fb33738768511a30617afa01d',
  'fac54203e7cc696cf0dfcb42c92a1d9dbaf70ad9e621f4bd8d98662f00e3c125',
  'aeb6bcfe274b70a14fb067a5e5578264db0fa9b51af5e0ba159158f329e06e77',
  'd37ee418976dd95753c1c73862b9398fa2a2cf9b4ff0fdfe8b30cd95209614b7',
  '4e3bbb1f7b478dcfe71fb631631519a3bca12c9aefca1612bfce4c13a86264d4',
  '76e67dadbcdf1e10e1b74ddc608abd2f98dfb16fbce75277b5232a127f2087ef',
  'ddb89be403809e325750d3d263cd78929c2942b7942a34b77e122c9594a74c8c',
  '5dc9da79a70659a9ad559cb701ded9a2ab9d823aad2f4960cfe370eff4604328',
]
const known = {
  leaf1: '96a296d224f285c67bee93c30f8a309157f0daa35dc5b87e410b78630a09cfc7',
  leaf4: 'bc1a0643b12e4d2d7c77918f44e0f4f79a838b6cf9ec5b5c283e1f4d88599e6b',
  leaf6: 'b08693ec2e721597130641e8211e7eedccb4c26413963eee6c1e2ed16ffb1a5f',
  node23: '5f083f0a1a33ca076a95279832580db3e0ef4584bdff1f54c8a360f50de3031e',
  node45: '0ebc5d3437fbe2db158b9f126a1d118e308181031d0a949f8dededebc558ef6a',
  node67: 'ca854ea128ed050b41b35ffc1b87b8eb2bde461e9e3b5596ece6b9d5975a0ae0',
  node4to7: '6b47aaf29ee3c2af9af889bc1fb9254dabd31177f16232dd6aab035ca39bf6e4',
}
const root = (size: number) => Buffer.from(roots[size] ?? '', 'hex')

/** The hash of a subtree, from the leaves. */
function hashOf(span: Span, of: readonly Buffer[] = leaves): Buffer {
  const hash = ({ level, index }: { level: number; index: number }): Buffer =>
    level === 0
      ? (of[index] ?? Buffer.alloc(0))
      : nodeHash(
          hash({ level: level - 1, index: index * 2 }),
          hash({ level: level - 1, index: index * 2 + 1 }),
        )
  return joinNodes(nodesOf(span).map(hash))
}
const hashes = (spans: Span[]) => spans.map((span) => hashOf(span))
const hex = (spans: Span[]) => hashes(spans).map((hash) => hash.toString('hex'))

describe('published values', () => {
  it('roots of 0 to 8 leaves, and the leaf and node that RFC 6962 logs are tested with', () => {
    expect(emptyRoot().toString('hex')).toBe(roots[0])
    expect(roots.map((_, size) => hashOf({ from: 0, to: size }).toString('hex'))).toEqual(roots)
    expect(leafHash(Buffer.from('L123456')).toString('hex')).toBe(
      '395aa064aa4c29f7010acfe3f25db9485bbd4b91897b6ad7ad547639252b4d56',
    )
    expect(nodeHash(Buffer.from('N123'), Buffer.from('N456')).toString('hex')).toBe(
      'aa217fe888e47007fa15edab33c2b492a722cb106c64667fc2b044444de66bbb',
    )
  })

  it.each<[number, number, string[]]>([
    [0, 1, []],
    [0, 8, [known.leaf1, known.node23, known.node4to7]],
    [5, 8, [known.leaf4, known.node67, roots[4] ?? '']],
    [2, 3, [roots[2] ?? '']],
    [1, 5, [roots[1] ?? '', known.node23, known.leaf4]],
  ])('the inclusion proof of leaf %i among %i', (index, size, proof) => {
    expect(hex(inclusionSpans(index, size))).toEqual(proof)
  })

  it.each<[number, number, string[]]>([
    [1, 1, []],
    [1, 8, [known.leaf1, known.node23, known.node4to7]],
    [6, 8, [known.node45, known.node67, roots[4] ?? '']],
    [2, 5, [known.node23, known.leaf4]],
    [6, 7, [known.node45, known.leaf6, roots[4] ?? '']],
  ])('the consistency proof from %i to %i', (before, size, proof) => {
    expect(hex(consistencySpans(before, size))).toEqual(proof)
  })

  it('the example of seven leaves in RFC 6962 §2.1.3, by its letters', () => {
    const letters = new Map(
      Object.entries({ a: [0, 1], b: [1, 2], c: [2, 3], d: [3, 4], e: [4, 5], f: [5, 6] })
        .concat(
          Object.entries({ j: [6, 7], g: [0, 2], h: [2, 4], i: [4, 6], k: [0, 4], l: [4, 7] }),
        )
        .map(([letter, [from, to]]) => [`${from} ${to}`, letter]),
    )
    const said = (spans: Span[]) => spans.map(({ from, to }) => letters.get(`${from} ${to}`)).join()
    expect([0, 3, 4, 6].map((index) => said(inclusionSpans(index, 7)))).toEqual([
      'b,h,l',
      'c,g,l',
      'f,j,k',
      'i,k',
    ])
    expect([3, 4, 6].map((before) => said(consistencySpans(before, 7)))).toEqual([
      'c,d,g,l',
      'l',
      'i,j,k',
    ])
  })
})

describe('trees of 1 to 70 leaves', () => {
  const data = Array.from({ length: 70 }, (_, nr) => Buffer.from(`leaf ${nr}`))
  const all = data.map(leafHash)

  it('have the roots and proofs of the definitions, written out, and these hold', () => {
    const growing = new GrowingTree()
    for (let size = 1; size <= data.length; size += 1) {
      const part = data.slice(0, size)
      growing.add(all[size - 1] ?? Buffer.alloc(0))
      const now = treeHash(part)
      expect(growing.root()).toEqual(now)
      for (let nr = 0; nr < size; nr += 1) {
        const inclusion = inclusionSpans(nr, size).map((span) => hashOf(span, all))
        expect(inclusion).toEqual(path(nr, part))
        const leaf = all[nr] ?? Buffer.alloc(0)
        const given = { index: nr, size, leaf, proof: inclusion, root: now }
        expect(checkInclusion(given)).toEqual({ ok: true })
        const consistency = consistencySpans(nr + 1, size).map((span) => hashOf(span, all))
        expect(consistency).toEqual(proofOf(nr + 1, part))
        const beforeRoot = treeHash(data.slice(0, nr + 1))
        const claim = { before: nr + 1, beforeRoot, size, root: now, proof: consistency }
        expect(checkConsistency(claim)).toEqual({ ok: true })
      }
    }
  })

  it('a second program, which checks logs of software signatures, takes the same proofs', () => {
    const { verifyMerkleInclusion } = secondOpinion()
    for (let size = 1; size <= data.length; size += 1) {
      const logHash = treeHash(data.slice(0, size))
      for (let nr = 0; nr < size; nr += 1) {
        const proof = inclusionSpans(nr, size).map((span) => hashOf(span, all))
        const entry = {
          canonicalizedBody: data[nr],
          inclusionProof: { logIndex: String(nr), hashes: proof },
        }
        expect(() => verifyMerkleInclusion(entry, { logSize: BigInt(size), logHash })).not.toThrow()
        if (size === 1) continue
        const other = {
          ...entry,
          inclusionProof: { logIndex: String((nr + 1) % size), hashes: proof },
        }
        expect(() => verifyMerkleInclusion(other, { logSize: BigInt(size), logHash })).toThrow()
      }
    }
  })

  it('no proof holds after any change of it', () => {
    const size = fc.integer({ min: 2, max: 70 })
    fc.assert(
      fc.property(size, fc.nat(), fc.nat(), fc.nat(), (many, which, where, how) => {
        const index = which % many
        const proof = inclusionSpans(index, many).map((span) => hashOf(span, all))
        const leaf = all[index] ?? Buffer.alloc(0)
        const claim = { index, size: many, leaf, proof, root: treeHash(data.slice(0, many)) }
        const at = where % proof.length
        const flipped = proof.map((hash, nr) => {
          const copy = Buffer.from(hash)
          if (nr === at) copy[how % 32] = (copy[how % 32] ?? 0) ^ 1
          return copy
        })
        const changed = [
          { ...claim, proof: flipped },
          { ...claim, proof: proof.filter((_, nr) => nr !== at) },
          { ...claim, proof: [...proof, leaf] },
          { ...claim, index: (index + 1) % many },
          { ...claim, leaf: claim.root },
          { ...claim, root: leaf },
        ]
        return changed.every((one) => !checkInclusion(one).ok)
      }),
    )
  })
})

describe('a proof that is none is refused in words', () => {
  const leaf = leaves[5] ?? Buffer.alloc(0)
  const claim = { index: 5, size: 8, leaf, proof: hashes(inclusionSpans(5, 8)), root: root(8) }
  const chain = {
    before: 6,
    beforeRoot: root(6),
    size: 8,
    root: root(8),
    proof: hashes(consistencySpans(6, 8)),
  }
  it.each<[string, object, RegExp]>([
    ['of size 0', { size: 0 }, /size 0 holds no entry/],
    ['of an index beyond the size', { index: 8 }, /index 8 is not below the size 8/],
    ['of an index below zero', { index: -1 }, /no whole number/],
    ['of a broken index', { index: 1.5 }, /no whole number/],
    ['too short', { proof: claim.proof.slice(1) }, /has 2 hashes where 3 are due/],
    ['too long', { proof: [...claim.proof, leaf] }, /has 4 hashes where 3 are due/],
    ['of a larger tree', { size: 9 }, /3 hashes where 4 are due/],
    ['with a short hash', { proof: [leaf.subarray(1), leaf, leaf] }, /has 31 bytes, not 32/],
    ['of a leaf that is no hash', { leaf: Buffer.alloc(0) }, /has 0 bytes, not 32/],
    ['of another leaf', { leaf: leaves[4] }, /leads to another root/],
  ])('inclusion %s', (_, change, says) => {
    const result = checkInclusion({ ...claim, ...change })
    expect(result.ok ? 'held' : result.problem).toMatch(says)
  })

  it.each<[string, object, RegExp]>([
    ['from size 0', { before: 0, beforeRoot: root(0), proof: [] }, /size 0 proves nothing/],
    ['to a smaller tree', { before: 8, size: 6 }, /the earlier tree is the larger one/],
    ['too short', { proof: chain.proof.slice(1) }, /2 hashes where 3 are due/],
    ['too long', { proof: [...chain.proof, leaf] }, /4 hashes where 3 are due/],
    ['with a long hash', { root: Buffer.alloc(33) }, /has 33 bytes, not 32/],
    ['with another earlier root', { beforeRoot: root(5) }, /not lead to the earlier root/],
    ['with another later root', { root: root(7) }, /not lead to the later root/],
    ['of one size with two roots', { before: 8, beforeRoot: root(7), proof: [] }, /roots differ/],
  ])('consistency %s', (_, change, says) => {
    const result = checkConsistency({ ...chain, ...change })
    expect(result.ok ? 'held' : result.problem).toMatch(says)
  })
})

type SecondOpinion = {
  verifyMerkleInclusion: (entry: object, checkpoint: { logSize: bigint; logHash: Buffer }) => void
}

/** Its proof checker is not exported by name, so it is loaded by its place in the package. */
function secondOpinion(): SecondOpinion {
  return createRequire(import.meta.url)('@sigstore/verify/dist/tlog/merkle.js') as SecondOpinion
}
