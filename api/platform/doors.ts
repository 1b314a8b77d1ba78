// What stands between the network and the pages: our own address, trusted proxies, counted tries.
import { BlockList, isIP, isIPv4 } from 'node:net'
import { newLimits } from './limits.ts'
import { newLog } from './log.ts'
import type { Log } from './log.ts'
import type { Metrics } from './metrics.ts'
import type { Limits } from './limits.ts'
import type { CurrentPerson, Services } from './services.ts'

/** Writes the demo season into an empty database, on behalf of the person who asked for it. */
export type LoadDemo = (services: Services, person: CurrentPerson) => Promise<void>

export type Doors = {
  /** The address that people and phones use, like `https://vines.example`; null: as asked. */
  publicOrigin: string | null
  /** Is this the address of a proxy whose forwarding headers may be believed? */
  isProxy: (address: string) => boolean
  limits: Limits
  loadDemo: LoadDemo | null
  log: Log
  metrics: Metrics | null
}

/** Doors that trust no proxy, count in this process's memory, know no demo and log nothing. */
export function plainDoors(changes: Partial<Doors> = {}): Doors {
  return {
    publicOrigin: null,
    isProxy: () => false,
    limits: newLimits(null),
    loadDemo: null,
    log: newLog('silent'),
    metrics: null,
    ...changes,
  }
}

/**
 * Tells the addresses of proxies from a list like `10.0.0.5, 192.168.7.0/24, fd00::/8`.
 * Throws an Error that names the part that is neither an address nor a range.
 */
export function proxyList(text: string): (address: string) => boolean {
  const list = new BlockList()
  for (const part of text.split(/[\s,]+/).filter((word) => word !== '')) addRange(list, part)
  return (address) => {
    const plain = plainAddress(address)
    return isIP(plain) !== 0 && list.check(plain, familyOf(plain))
  }
}

/** An IPv4 address as such, also when the system writes it in its IPv6 form (RFC 4291 §2.5.5.2). */
export function plainAddress(address: string): string {
  const mapped = address.toLowerCase().startsWith('::ffff:') ? address.slice(7) : address
  return isIPv4(mapped) ? mapped : address
}

function addRange(list: BlockList, part: string): void {
  const [address = '', bits, ...rest] = part.split('/')
  const widest = isIPv4(address) ? 32 : 128
  const isRange = bits === undefined || (/^\d{1,3}$/.test(bits) && Number(bits) <= widest)
  if (isIP(address) === 0 || !isRange || rest.length > 0) {
    throw new Error(
      `CANEMARK_PROXIES: "${part}" is neither an address nor a range; ` +
        'write them like 10.0.0.5 or 192.168.7.0/24, with commas between',
    )
  }
  if (bits === undefined) list.addAddress(address, familyOf(address))
  else list.addSubnet(address, Number(bits), familyOf(address))
}

const familyOf = (address: string) => (isIPv4(address) ? 'ipv4' : 'ipv6')
