// Turns the EPC URIs of GS1 keys into the one canonical web address that event hashes are made of.

/**
 * The canonical GS1 Digital Link URI of an EPC URI (`urn:epc:id:…`, `urn:epc:class:lgtin:…`), or of
 * a Digital Link at any host, reduced to the finest key; null for what is neither, and for keys
 * that we do not know. Source: CBV 2.0 §8.9 rules 17 and 18; EPC Tag Data Standard for the forms.
 */
export function canonicalKey(text: string): string | null {
  const urn = /^urn:epc:(?:id|class):([a-z]+):(.+)$/.exec(text)
  if (urn !== null) return fromUrn(urn[1] ?? '', (urn[2] ?? '').split('.'))
  return fromLink(text)
}

const at = (path: string) => `https://id.gs1.org/${path}`

/** A known number of parts after the company prefix, each key's own way. */
function fromUrn(scheme: string, parts: string[]): string | null {
  const [company = '', item = ''] = parts
  const rest = parts.slice(2).join('.')
  if (!/^\d{6,12}$/.test(company)) return null
  switch (scheme) {
    case 'sgtin':
      return at(`01/${checked(item.slice(0, 1) + company + item.slice(1))}/21/${rest}`)
    case 'lgtin':
      return at(`01/${checked(item.slice(0, 1) + company + item.slice(1))}/10/${rest}`)
    case 'sscc':
      return at(`00/${checked(item.slice(0, 1) + company + item.slice(1))}`)
    case 'sgln': {
      const location = at(`414/${checked(company + item)}`)
      return rest === '0' ? location : `${location}/254/${rest}`
    }
    case 'pgln':
      return at(`417/${checked(company + item)}`)
    case 'gdti':
      return at(`253/${checked(company + item)}${rest}`)
    case 'grai':
      return at(`8003/0${checked(company + item)}${rest}`)
    case 'gsrn':
      return at(`8018/${checked(company + item)}`)
    case 'giai':
      return at(`8004/${company}${parts.slice(1).join('.')}`)
    default:
      return null
  }
}

/** The digits with the GS1 check digit behind them: weights 3 and 1 from the right. */
function checked(digits: string): string {
  const sum = [...digits].reverse().reduce((total, digit, nr) => {
    return total + Number(digit) * (nr % 2 === 0 ? 3 : 1)
  }, 0)
  return `${digits}${(10 - (sum % 10)) % 10}`
}

/** Keys with the qualifiers that stay, the finest first; what else follows is left out. */
const links: [RegExp, (match: RegExpExecArray) => string][] = [
  [/\/01\/(\d{8,14})(?:\/22\/[^/]+)?(?:\/10\/[^/]+)?\/21\/([^/]+)$/, (m) => gtin(m, '21')],
  [/\/01\/(\d{8,14})(?:\/22\/[^/]+)?\/10\/([^/]+)$/, (m) => gtin(m, '10')],
  [/\/01\/(\d{8,14})\/235\/([^/]+)$/, (m) => gtin(m, '235')],
  [/\/01\/(\d{8,14})(?:\/22\/[^/]+)?$/, (m) => `01/${(m[1] ?? '').padStart(14, '0')}`],
  [/\/414\/(\d{13})\/254\/([^/]+)$/, (m) => `414/${m[1]}/254/${m[2]}`],
  [/\/(00|253|255|401|402|414|417|8003|8004|8017|8018)\/([^/]+)$/, (m) => `${m[1]}/${m[2]}`],
]

const gtin = (match: RegExpExecArray, qualifier: string) =>
  `01/${(match[1] ?? '').padStart(14, '0')}/${qualifier}/${match[2]}`

function fromLink(text: string): string | null {
  const path = /^https?:\/\/[^/?#]+(\/[^?#]*)/.exec(text)?.[1]
  if (path === undefined) return null
  for (const [pattern, write] of links) {
    const match = pattern.exec(path)
    if (match !== null) return at(write(match))
  }
  return null
}
