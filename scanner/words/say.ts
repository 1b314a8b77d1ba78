// Says a sentence in the person's language, with its numbers and plural forms.
import type { Language } from '../phone.ts'
import { EN } from './en.ts'
import { ES } from './es.ts'
import type { Message, NamesOf } from './message.ts'

/** Every sentence there is; those of a job are in its own files, merged in en.ts and es.ts. */
export type WordKey = keyof typeof EN

type ParamsOf<K extends WordKey> = { readonly [N in NamesOf<(typeof EN)[K]>]: string | number }

/** The sentences that stand alone, without a number or a name in them. */
export type PlainKey = {
  [K in WordKey]: [NamesOf<(typeof EN)[K]>] extends [never] ? K : never
}[WordKey]

/** What follows the key: nothing for a plain sentence, else all of its parameters. */
export type Fill<K extends WordKey> = [NamesOf<(typeof EN)[K]>] extends [never]
  ? []
  : [params: ParamsOf<K>]

const WORDS: Readonly<Record<Language, Readonly<Record<WordKey, Message>>>> = { en: EN, es: ES }

/** The sentence; numbers among the parameters are written as the language writes them. */
export function say<K extends WordKey>(language: Language, key: K, ...fill: Fill<K>): string {
  const params: Readonly<Record<string, string | number>> = fill[0] ?? {}
  const locale = localeOf(language)
  const message = WORDS[language][key]
  const text =
    typeof message === 'string' ? message : (message[formOf(locale, params)] ?? message.other)
  return text.replace(/\{(\w+)\}/g, (whole, name: string) => {
    const value = params[name]
    if (value === undefined) return whole
    return typeof value === 'number' ? numberIn(locale, value) : value
  })
}

/**
 * The language as this phone's owner writes it (`es-MX`, `en-GB`), so that dates and decimal marks
 * are those of the country; the plain language where the phone is set to none of its kind.
 */
export function localeOf(
  language: Language,
  preferred: readonly string[] = preferredLanguages(),
): string {
  return preferred.find((tag) => tag === language || tag.startsWith(`${language}-`)) ?? language
}

const plurals = new Map<string, Intl.PluralRules>()
const numbers = new Map<string, Intl.NumberFormat>()

/** A number as the language writes it, with at most `decimals` digits after the mark. */
export function numberIn(locale: string, value: number, decimals = 0): string {
  const key = `${locale} ${decimals}`
  let format = numbers.get(key)
  if (format === undefined) {
    format = new Intl.NumberFormat(locale, { maximumFractionDigits: decimals })
    numbers.set(key, format)
  }
  return format.format(value)
}

function formOf(
  locale: string,
  params: Readonly<Record<string, string | number>>,
): 'one' | 'many' | 'other' {
  let rules = plurals.get(locale)
  if (rules === undefined) {
    rules = new Intl.PluralRules(locale)
    plurals.set(locale, rules)
  }
  const form = rules.select(Number(params.count))
  return form === 'one' || form === 'many' ? form : 'other'
}

function preferredLanguages(): readonly string[] {
  return typeof navigator === 'undefined' ? [] : (navigator.languages ?? [])
}
