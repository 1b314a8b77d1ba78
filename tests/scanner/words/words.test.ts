// Every sentence of the phone is there in both languages, with the same names and right forms.
import { readFileSync } from 'node:fs'
import { expect, it } from 'vitest'
import { entryKinds } from '#wire/entry.ts'
import type { Settings } from '../../../scanner/phone.ts'
import { EN } from '../../../scanner/words/en.ts'
import { ES } from '../../../scanner/words/es.ts'
import type { Message } from '../../../scanner/words/message.ts'
import { inOwnUnits } from '../../../scanner/words/reason-words.ts'
import { localeOf, numberIn, say } from '../../../scanner/words/say.ts'
import { speakerOf } from '../../../scanner/words/speaker.ts'
import { wordFiles } from './word-files.ts'

const english: Readonly<Record<string, Message>> = EN
const spanish: Readonly<Record<string, Message>> = ES
const keys = Object.keys(EN)

/** Every text of a message, one a form. */
function textsOf(message: Message | undefined): string[] {
  if (message === undefined) return []
  return typeof message === 'string' ? [message] : Object.values(message).map(String)
}

function namesOf(text: string): string[] {
  return [...new Set([...text.matchAll(/\{(\w+)\}/g)].map((match) => match[1] ?? ''))].sort()
}

it('both languages have the same sentences, and there are some', () => {
  expect(keys.length).toBeGreaterThan(250)
  expect(Object.keys(ES).sort()).toEqual([...keys].sort())
})

it('a key is written in one file only, so that no sentence hides another', () => {
  for (const language of ['en', 'es']) {
    const written = wordFiles(language).flatMap((file) =>
      [...readFileSync(file, 'utf8').matchAll(/^ {2}'([\w.]+)':/gm)].map((match) => match[1]),
    )
    expect(written.length).toBe(keys.length)
    expect(written.filter((key, nr) => written.indexOf(key) !== nr)).toEqual([])
  }
})

it('a sentence and its translation ask for the same names and numbers', () => {
  const different = keys.filter((key) => {
    const [one, other] = [english[key], spanish[key]].map((message) =>
      namesOf(textsOf(message).at(-1) ?? ''),
    )
    return JSON.stringify(one) !== JSON.stringify(other)
  })
  expect(different).toEqual([])
})

it('every form of a sentence by number names the same things', () => {
  for (const [key, message] of [...Object.entries(english), ...Object.entries(spanish)]) {
    if (typeof message === 'string') continue
    const names = textsOf(message).map(namesOf)
    expect(new Set(names.map(String)).size, key).toBe(1)
  }
})

it('the forms by number are those that the language has (CLDR, by Intl.PluralRules)', () => {
  for (const [language, words] of [['en', english] as const, ['es', spanish] as const]) {
    const known = new Intl.PluralRules(language).resolvedOptions().pluralCategories
    for (const [key, message] of Object.entries(words)) {
      if (typeof message === 'string') continue
      const forms = Object.keys(message)
      expect(forms, key).toContain('one')
      expect(forms, key).toContain('other')
      expect(forms.filter((form) => !known.includes(form as Intl.LDMLPluralRule))).toEqual([])
    }
  }
})

/** Words that both languages spell alike. */
const sameWords = ['Material', 'No']
/** Sentences that are alike in both languages: names, signs and units. */
const alike = /^(app\.name|span\.|start\.(celsius|fahrenheit|millimetres)|account\.|strip\.oldest)/

it('no English is left in the Spanish words, and no text is empty', () => {
  const words =
    /\b(the|and|of|with|this|that|not|is|are|was|to|for|on|scan|tag|lot|bud|row|phone)\b/i
  for (const key of keys) {
    for (const text of textsOf(spanish[key])) {
      expect(text.trim(), key).not.toBe('')
      expect(text.replace(/\{\w+\}/g, ''), key).not.toMatch(words)
      if (alike.test(key) || sameWords.includes(text)) continue
      if (text.replace(/\{\w+\}|[^\p{L}]/gu, '').length < 3) continue
      expect(textsOf(english[key]), key).not.toContain(text)
    }
  }
})

it('one is told apart from none and many', () => {
  expect(say('en', 'count.buds', { count: 1 })).toBe('1 bud')
  expect(say('en', 'count.buds', { count: 0 })).toBe('0 buds')
  expect(say('es', 'count.buds', { count: 1 })).toBe('1 yema')
  expect(say('es', 'count.buds', { count: 0 })).toBe('0 yemas')
  expect(say('es', 'count.bundles', { count: 2 })).toBe('2 haces')
  // Spanish has a form of its own for millions; without one written, the general form serves.
  expect(say('es', 'count.buds', { count: 1_000_000 })).toMatch(/^1.000.000 yemas$/)
})

it('numbers are written as the country writes them', () => {
  expect(numberIn('en-US', 12345.5, 1)).toBe('12,345.5')
  expect(numberIn('es-ES', 12345.5, 1)).toBe('12.345,5')
  expect(numberIn('es-MX', 12345.5, 1)).toBe('12,345.5')
})

it('the country is that of the phone where it speaks the language, else none', () => {
  expect(localeOf('es', ['en-US', 'es-MX', 'es'])).toBe('es-MX')
  expect(localeOf('en', ['es-MX'])).toBe('en')
  expect(localeOf('es', ['est-EE'])).toBe('es')
})

const settings: Settings = {
  ...{ language: 'en', tempUnit: 'F', lengthUnit: 'in', hand: 'right' },
  ...{ personId: null, knifeId: null },
}

it('temperatures and lengths are told and taken in the units that the person chose', () => {
  const customary = speakerOf(settings)
  expect(customary.temp(20)).toBe('68 °F')
  expect(customary.tempCOf(212)).toBeCloseTo(100, 10)
  expect(customary.length(254)).toBe('10 in')
  expect(customary.lengthMmOf(10)).toBe(254)
  const metric = speakerOf({ ...settings, tempUnit: 'C', lengthUnit: 'mm' })
  expect(metric.temp(-1.5)).toBe('-1.5 °C')
  expect(metric.lengthMmOf(254)).toBe(254)
})

it('a reason tells its temperatures in the unit that the person chose', () => {
  const text = 'Frost was read where it lay: -6 °C (below -5 °C).'
  expect(inOwnUnits(text, speakerOf(settings))).toBe(
    'Frost was read where it lay: 21.2 °F (below 23 °F).',
  )
  expect(inOwnUnits('40 °C days above 5 °C', speakerOf(settings))).toBe('40 °C days above 41 °F')
  expect(inOwnUnits(text, speakerOf({ ...settings, tempUnit: 'C' }))).toBe(text)
})

it('a length of time is told in words that do not claim more than is known', () => {
  const { span } = speakerOf(settings)
  expect(span(20_000)).toBe('< 1 min')
  expect(span(-5_000)).toBe('< 1 min')
  expect(span(59 * 60_000)).toBe('59 min')
  expect(span(125 * 60_000)).toBe('2 h 5 min')
  expect(span(26.5 * 3_600_000)).toBe('26 h')
  expect(span(4 * 86_400_000)).toBe('4 days')
})

it('every kind of entry has a name to be shown by', () => {
  const nameless = Object.keys(entryKinds).filter((kind) => !Object.hasOwn(EN, `entry.${kind}`))
  expect(nameless).toEqual([])
})
