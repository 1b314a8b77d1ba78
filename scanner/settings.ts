// What the person chose on this phone, kept beside the queue.
import { z } from 'zod'
import type { Settings } from './phone.ts'
import { strictly } from './queue/store.ts'
import type { Store } from './queue/store.ts'

const Kept = z.object({
  language: z.enum(['en', 'es']),
  tempUnit: z.enum(['C', 'F']),
  lengthUnit: z.enum(['mm', 'in']),
  hand: z.enum(['left', 'right']),
  personId: z.string().nullable(),
  knifeId: z.string().nullable(),
})

/** The settings as they were kept; whatever is missing, or written by another version, is chosen
 * from the languages that the person's browser prefers. */
export async function readSettings(store: Store, languages: readonly string[]): Promise<Settings> {
  const kept = Kept.partial().safeParse(await store.get('note', 'settings'))
  const given = kept.success ? kept.data : {}
  return Kept.parse({ ...firstSettings(languages), ...given })
}

/** Keeps them. */
export async function keepSettings(store: Store, settings: Settings): Promise<void> {
  const trx = strictly(store)
  await trx.objectStore('note').put(settings, 'settings')
  await trx.done
}

/** Spanish for who prefers it, else English; °F and inches for the one country that uses them. */
export function firstSettings(languages: readonly string[]): Settings {
  const known = languages.find((language) => /^(en|es)\b/i.test(language)) ?? 'en'
  const isCustomary = /-US$/i.test(languages[0] ?? '')
  return {
    language: known.toLowerCase().startsWith('es') ? 'es' : 'en',
    tempUnit: isCustomary ? 'F' : 'C',
    lengthUnit: isCustomary ? 'in' : 'mm',
    hand: 'right',
    personId: null,
    knifeId: null,
  }
}
