// Canonical bytes, ids and leaf hashes against the numbers that their standards publish.
import { createHash } from 'node:crypto'
import { describe, expect, it } from 'vitest'
import { EntryId } from '#wire/basics.ts'
import { canonicalBytes, leafHash } from '../../api/journal/canonical.ts'
import { newId } from '../../api/platform/clock.ts'

const sha256 = (text: Uint8Array) => createHash('sha256').update(text).digest('hex')

/** The double whose IEEE 754 bits are written as sixteen hexadecimal digits. */
const double = (hex: string) => Buffer.from(hex, 'hex').readDoubleBE()

describe('canonical bytes (RFC 8785)', () => {
  // RFC 8785 appendix B, the whole table of numbers that have a form (written down from memory;
  // the hard ones, from 4340… on, were compared with the published test data).
  it.each([
    ['0000000000000000', '0'],
    ['8000000000000000', '0'],
    ['0000000000000001', '5e-324'],
    ['8000000000000001', '-5e-324'],
    ['7fefffffffffffff', '1.7976931348623157e+308'],
    ['ffefffffffffffff', '-1.7976931348623157e+308'],
    ['4340000000000000', '9007199254740992'],
    ['c340000000000000', '-9007199254740992'],
    ['4430000000000000', '295147905179352830000'],
    ['44b52d02c7e14af5', '9.999999999999997e+22'],
    ['44b52d02c7e14af6', '1e+23'],
    ['44b52d02c7e14af7', '1.0000000000000001e+23'],
    ['444b1ae4d6e2ef4e', '999999999999999700000'],
    ['444b1ae4d6e2ef4f', '999999999999999900000'],
    ['444b1ae4d6e2ef50', '1e+21'],
    ['3eb0c6f7a0b5ed8c', '9.999999999999997e-7'],
    ['3eb0c6f7a0b5ed8d', '0.000001'],
    ['41b3de4355555553', '333333333.3333332'],
    ['41b3de4355555554', '333333333.33333325'],
    ['41b3de4355555555', '333333333.3333333'],
    ['41b3de4355555556', '333333333.3333334'],
    ['41b3de4355555557', '333333333.33333343'],
    ['becbf647612f3696', '-0.0000033333333333333333'],
    ['43143ff3c1cb0959', '1424953923781206.2'],
  ])('the number with the bits %s is written %s', (bits, text) => {
    expect(canonicalBytes(double(bits)).toString('utf8')).toBe(text)
  })

  it.each([
    ['not a number', double('7fffffffffffffff')],
    ['infinity', double('7ff0000000000000')],
  ])('%s has no form and is refused (RFC 8785 appendix B)', (_, value) => {
    expect(() => canonicalBytes({ value })).toThrow(/not allowed/)
  })

  it.each([
    ['half of a pair', '\ud800'],
    ['the other half', 'x\udead'],
    ['a pair the wrong way round', '\udc00\ud800'],
  ])('a string with %s is refused (RFC 8785 §3.2.2.2)', (_, text) => {
    expect(() => canonicalBytes({ text })).toThrow(/surrogate/i)
    expect(() => canonicalBytes({ [text]: 1 })).toThrow(/surrogate/i)
  })

  // The test files that come with RFC 8785 (github.com/cyberphone/json-canonicalization, testdata);
  // inputs from memory, proven by the beginning and end of the published outputs' SHA-256.
  it.each([
    ['arrays', '[56, {"d": true, "10": null, "1": []}]', '099601b1', 'beac42'],
    [
      'french',
      '{"peach": "This sorting order", "péché": "is wrong according to French",' +
        '"pêche": "but canonicalization MUST", "sin": "ignore locale"}',
      'd99d0ebd',
      'a27ed5',
    ],
    [
      'structures',
      '{"1": {"f": {"f": "hi", "F": 5}, "\\n": 56.0}, "10": {}, "": "empty", "a": {},' +
        '"111": [{"e": "yes", "E": "no"}], "A": {}}',
      '605f6500',
      '3195d5',
    ],
    ['unicode', '{"Unnormalized Unicode": "A\\u030a"}', '0d99aad9', 'd2381d3'],
    [
      'values',
      '{"numbers": [333333333.33333329, 1E30, 4.50, 2e-3, 0.000000000000000000000000001],' +
        '"string": "\\u20ac$\\u000F\\u000aA\'\\u0042\\u0022\\u005c\\\\\\"\\/",' +
        '"literals": [null, true, false]}',
      '2d5e01a3',
      '978baacb',
    ],
    [
      'weird',
      '{"\\u20ac": "Euro Sign", "\\r": "Carriage Return", "\\u000a": "Newline", "1": "One",' +
        '"\\u0080": "Control\\u007f", "\\ud83d\\ude02": "Smiley",' +
        '"\\u00f6": "Latin Small Letter O With Diaeresis",' +
        '"\\ufb33": "Hebrew Letter Dalet With Dagesh", "</script>": "Browser Challenge"}',
      '6af595a9',
      'e94d1',
    ],
  ])('the published test file %s has the published bytes', (_, input, begins, ends) => {
    const hash = sha256(canonicalBytes(JSON.parse(input)))
    expect([hash.slice(0, begins.length), hash.slice(-ends.length)]).toEqual([begins, ends])
  })
})

describe('leaf hashes (RFC 6962 §2.1)', () => {
  // The eight leaves of the Certificate Transparency test tree.
  it.each([
    ['', '6e340b9cffb37a989ca544e6bb780a2c78901d3fb33738768511a30617afa01d'],
    ['00', '96a296d224f285c67bee93c30f8a309157f0daa35dc5b87e410b78630a09cfc7'],
    ['10', '0298d122906dcfc10892cb53a73992fc5b9f493ea4c9badb27b791b4127a7fe7'],
    ['2021', '07506a85fd9dd2f120eb694f86011e5bb4662e5c415a62917033d4a9624487e7'],
    ['3031', 'bc1a0643b12e4d2d7c77918f44e0f4f79a838b6cf9ec5b5c283e1f4d88599e6b'],
    ['40414243', '4271a26be0d8a84f0bd54c8c302e7cb3a3b5d1fa6780a40bcce2873477dab658'],
    ['5051525354555657', 'b08693ec2e721597130641e8211e7eedccb4c26413963eee6c1e2ed16ffb1a5f'],
    [
      '606162636465666768696a6b6c6d6e6f',
      '46f6ffadd3d06a09ff3c5860d2755c8b9819db7df44251788c7d8e3180de8eb1',
    ],
    [
      Buffer.from('L123456').toString('hex'),
      '395aa064aa4c29f7010acfe3f25db9485bbd4b91897b6ad7ad547639252b4d56',
    ],
  ])('the leaf %s has the published hash', (hex, hash) => {
    expect(leafHash(Buffer.from(hex, 'hex')).toString('hex')).toBe(hash)
  })
})

describe('ids of entries (RFC 9562)', () => {
  const example = '017f22e2-79b0-7cc3-98c4-dc0c0c07398f'

  it('the published example of version 7 is an id, in lower case only (appendix A.6)', () => {
    expect(EntryId.safeParse(example).success).toBe(true)
    expect(EntryId.safeParse(example.toUpperCase()).success).toBe(false)
  })

  // RFC 9562 appendix A.1, A.3 and A.4 (from memory), §5.9 and §5.10; the last three are ours.
  it.each([
    ['version 1', 'c232ab00-9414-11ec-b3c8-9f6bdeced846'],
    ['version 4', '919108f7-52d1-4320-9bac-f847db4148a8'],
    ['version 5', '2ed6657d-e927-568b-95e1-2665a8aea6a2'],
    ['the nil id', '00000000-0000-0000-0000-000000000000'],
    ['the max id', 'ffffffff-ffff-ffff-ffff-ffffffffffff'],
    ['version 7 of another variant', '017f22e2-79b0-7cc3-c8c4-dc0c0c07398f'],
    ['an id in braces', `{${example}}`],
    ['an id without hyphens', example.replaceAll('-', '')],
  ])('%s is no id of an entry', (_, id) => {
    expect(EntryId.safeParse(id).success).toBe(false)
  })

  it('an id that we make carries its time in its first 48 bits (§5.7)', () => {
    const time = (id: string) => Number.parseInt(id.replaceAll('-', '').slice(0, 12), 16)
    expect(time(example)).toBe(1645557742000)
    const before = Date.now()
    const id = newId()
    expect(EntryId.safeParse(id).success).toBe(true)
    expect(time(id)).toBeGreaterThanOrEqual(before)
    expect(time(id)).toBeLessThanOrEqual(Date.now())
  })
})
