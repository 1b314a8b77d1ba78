// Whether a scanned tag can be put on new wood, and if not, why not.
import type { Found } from '../../phone.ts'

/** What a scanned text is good for when tags are being put on. */
export type TagUse =
  | { readonly use: 'free'; readonly code: string }
  /** A good code that the phone has no word of: printed since it last fetched, or never. */
  | { readonly use: 'ask'; readonly code: string }
  | {
      readonly use: 'refused'
      readonly why: 'bound' | 'ended' | 'spoiled' | 'twice' | 'other nursery' | 'slip' | 'no tag'
      readonly code: string | null
    }

/** `taken` are the codes scanned in this job already. */
export function tagUse(found: Found, taken: readonly string[]): TagUse {
  const refused = (
    why: Extract<TagUse, { use: 'refused' }>['why'],
    code: string | null,
  ): TagUse => ({
    use: 'refused',
    why,
    code,
  })
  switch (found.what) {
    case 'unbound':
      return taken.includes(found.code)
        ? refused('twice', found.code)
        : { use: 'free', code: found.code }
    case 'unknown code':
      return taken.includes(found.code)
        ? refused('twice', found.code)
        : { use: 'ask', code: found.code }
    case 'thing':
      return refused('bound', found.code)
    case 'ended':
      return refused(found.spoiled ? 'spoiled' : 'ended', found.code)
    case 'other nursery':
      return refused('other nursery', found.code)
    case 'slip':
      return refused('slip', null)
    case 'handover':
    case 'foreign':
      return refused('no tag', null)
  }
}
