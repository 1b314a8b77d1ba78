// Whatever a camera or a hand gives is answered with a sentence and what to do, in both languages.
import { expect, it } from 'vitest'
import { makeTagCode, TAG_ALPHABET } from '#trade/tag-code.ts'
import type { Found, Language, Phone, Snapshot } from '../../../scanner/phone.ts'
import { enrolCodeIn } from '../../../scanner/screens/enrol-code.ts'
import { foundProblem, shortened } from '../../../scanner/screens/found-words.ts'
import { groupsToCompare } from '../../../scanner/screens/slip.ts'
import { firstSettings } from '../../../scanner/settings.ts'
import { noSnapshot } from '../../../scanner/no-snapshot.ts'
import { speakerOf } from '../../../scanner/words/speaker.ts'

const code = makeTagCode(() => new Uint8Array([1, 2, 3, 4, 5, 6, 7]))
const phone: Pick<Phone, 'snapshot'> = { snapshot: noSnapshot.snapshot }

/** The worked example of docs/journal-format.md. */
const proof =
  'vines.example\n3\nKgn28zlemDVauWcIZu90W6VKUo+TpsBYS8K/xMTNYUk=\n\n— vines.example ' +
  '5C63PLftBBQADKtMiK4Eh1W/HQejWAmYsa5Q9kkh733sFLG528FoXhqFNFtL8Dz2sZQQ8WRD/aDsgzlRJ7im0EgaDAk=\n'

const bad: readonly Found[] = [
  { what: 'unbound', code },
  { what: 'ended', code, spoiled: false },
  { what: 'ended', code, spoiled: true },
  { what: 'unknown code', code },
  { what: 'other nursery', code, host: 'tags.example.org' },
  { what: 'foreign', text: 'https://example.org/menu' },
  { what: 'foreign', text: 'WIFI:T:WPA;S:Shed;P:secret word;;' },
  { what: 'foreign', text: 'x'.repeat(4096) },
  { what: 'foreign', text: proof },
  { what: 'slip', typed: code.slice(0, 9), problem: 'length' },
  { what: 'slip', typed: `${code}7`, problem: 'length' },
  { what: 'slip', typed: `${code.slice(0, 10)}U`, problem: 'letter' },
  { what: 'slip', typed: wrongAt(code, 5), problem: 'check' },
]

it('each bad read has its own sentence and advice, in both languages', () => {
  const said = (['en', 'es'] as const).flatMap((language) =>
    bad.map((found) => {
      const problem = foundProblem(found, phone, speaker(language))
      return `${problem?.what} ${problem?.todo}`
    }),
  )
  expect(new Set(said).size).toBe(2 * bad.length)
  expect(said.filter((text) => /undefined|null|\{|^ | $/.test(text))).toEqual([])
})

it('a journal proof is called one, with whose it is and how many entries it covers', () => {
  const found: Found = { what: 'foreign', text: proof }
  const said = foundProblem(found, phone, speaker('en'))
  expect(said).toMatchObject({ what: expect.stringMatching(/^This is a journal proof, not a tag/) })
  expect(said?.fact).toBe('vines.example: 3')
})

it('a foreign text of 4 kB is shown short, and the password in a Wi-Fi code not at all', () => {
  expect([...shortened('x'.repeat(4096))].length).toBeLessThan(130)
  expect(shortened('WIFI:T:WPA;S:Shed;P:secret\\; word;H:true;;')).toBe(
    'WIFI:T:WPA;S:Shed;P:…;H:true;;',
  )
})

it('a text cannot turn the writing direction or hide characters', () => {
  expect(shortened('a\u202Eb\u200Bc\nd')).toBe('a·b·c·d')
})

it('one wrong character is traced to its group, for each place and each character', () => {
  const known = (candidate: string) => candidate === code
  for (let place = 0; place < code.length; place += 1) {
    for (const character of TAG_ALPHABET) {
      if (character === code[place]) continue
      const typed = code.slice(0, place) + character + code.slice(place + 1)
      expect(groupsToCompare(typed, known)).toEqual([Math.floor(place / 4) + 1])
    }
  }
})

it('two neighbours swapped are traced to the group in which the swap begins', () => {
  for (let place = 0; place + 1 < code.length; place += 1) {
    const swapped = [...code]
    const [here = '', next = ''] = [code[place], code[place + 1]]
    swapped.splice(place, 2, next, here)
    if (here === next) continue
    expect(groupsToCompare(swapped.join(''), (text) => text === code)).toEqual([
      Math.floor(place / 4) + 1,
    ])
  }
})

it('no group is pointed at when no tag that the phone knows is one slip away', () => {
  expect(groupsToCompare(wrongAt(code, 2), () => false)).toEqual([])
})

it('the group to look at is named in the sentence', () => {
  const snapshot: Snapshot = {
    ...noSnapshot.snapshot,
    find: (text) =>
      text === code
        ? { what: 'thing', code, thing: { kind: 'lot', id: 'x' } }
        : { what: 'foreign', text },
  }
  const found: Found = { what: 'slip', typed: wrongAt(code, 6), problem: 'check' }
  expect(foundProblem(found, { snapshot }, speaker('en'))?.todo).toBe('Look again at group 2.')
  expect(foundProblem(found, { snapshot }, speaker('es'))?.todo).toBe('Mire otra vez el grupo 2.')
})

it('an enrolment code is read from the office’s symbol or as typed, nothing else', () => {
  expect(enrolCodeIn('https://office.example/scanner/#enrol=7K2M9QXD')).toBe('7K2M9QXD')
  expect(enrolCodeIn('7k2m 9qxd')).toBe('7K2M9QXD')
  expect(enrolCodeIn('7K2M-9QXO')).toBe('7K2M9QX0')
  expect(enrolCodeIn('https://office.example/scanner/')).toBeNull()
  expect(enrolCodeIn(code)).toBeNull()
  expect(enrolCodeIn('')).toBeNull()
})

function speaker(language: Language) {
  return speakerOf({ ...firstSettings([language]), language })
}

/** The text with another character at this place. */
function wrongAt(text: string, place: number): string {
  return text.slice(0, place) + (text[place] === '7' ? '8' : '7') + text.slice(place + 1)
}
