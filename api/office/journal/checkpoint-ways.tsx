// On which ways checkpoints leave this server, how far each has come, and what is not set.
import type { Delivery, DeliveryWay } from '../../journal/checkpoint-delivery.ts'
import { nextMailMs } from '../../journal/checkpoint-sending.ts'
import type { ProofSettings } from '../../platform/proof-settings.ts'
import { shownTime } from '../times.ts'

type Way = {
  way: DeliveryWay
  name: string
  /** Where to, as far as it is no secret; null: not set. */
  to: string | null
  /** What brings it about. */
  setting: string
  often: string
}

/** All ways, set or not, and a warning when none is. */
export function Ways(props: {
  proof: ProofSettings | undefined
  deliveries: readonly Delivery[]
  size: number | null
  zone: string
}) {
  const { deliveries, size, zone } = props
  const ways = waysOf(props.proof)
  const isAnySet = ways.some(({ way, to }) => way !== 'stamp' && to !== null)
  const mail = props.proof?.mail ?? null
  return (
    <>
      {isAnySet ? null : (
        <p class="care">
          Checkpoints are kept on this server alone, where its owner can change them. Have them sent
          on one of these ways, or save one below and keep it elsewhere.
        </p>
      )}
      <section aria-labelledby="where-they-go">
        <h2 id="where-they-go">Where they go</h2>
        <dl class="facts">
          {ways.map((way) => {
            const tried = deliveries.find((one) => one.way === way.way) ?? null
            const next = way.way === 'mail' && mail !== null ? nextMailMs(tried, mail) : 0
            return (
              <>
                <dt>{way.name}</dt>
                <dd>
                  <span class="quiet">
                    {way.to === null ? `not set: ${way.setting} ` : `${way.to}, ${way.often}: `}
                  </span>
                  {stateWords(tried, { isSet: way.to !== null, size, next, zone })}
                </dd>
              </>
            )
          })}
        </dl>
      </section>
    </>
  )
}

function waysOf(proof: ProofSettings | undefined): Way[] {
  const { sendToFolder = null, sendToUrl = null, mail = null, stamps = null } = proof ?? {}
  const every = (hours: number) => `at most every ${hours} hours`
  return [
    {
      way: 'folder',
      name: 'Folder',
      to: sendToFolder,
      setting: 'CANEMARK_CHECKPOINT_FOLDER',
      often: 'each one',
    },
    {
      way: 'post',
      name: 'Second machine',
      // The whole address may hold a password.
      to: sendToUrl === null ? null : new URL(sendToUrl).host,
      setting: 'CANEMARK_CHECKPOINT_URL',
      often: 'each one',
    },
    {
      way: 'mail',
      name: 'Mail',
      to: mail === null ? null : `to ${mail.to.join(', ')}`,
      setting: 'CANEMARK_CHECKPOINT_MAIL_SERVER',
      often: mail === null ? '' : every(mail.everyHours),
    },
    {
      way: 'stamp',
      name: 'Stamp of time',
      to: stamps === null ? null : `by ${new URL(stamps.url).host}`,
      setting: 'CANEMARK_STAMP_URL',
      often: stamps === null ? '' : every(stamps.everyHours),
    },
  ]
}

function stateWords(
  tried: Delivery | null,
  now: { isSet: boolean; size: number | null; next: number; zone: string },
): string {
  const { isSet, size, next, zone } = now
  if (!isSet && tried === null) return ''
  if (tried === null) return 'nothing yet'
  const at = shownTime(tried.triedAt, zone)
  const { deliveredAt, problem } = tried
  if (deliveredAt === null) return `NOT DONE, last tried ${at}: ${problem ?? 'no reason was kept'}`
  const reservation = problem === null ? '' : `, but: ${problem}`
  const isNewest = size === null || tried.size >= size
  const waits =
    isNewest || next === 0 ? '' : `; the next from ${shownTime(new Date(next), zone)} on`
  const covers = tried.size === 1 ? 'one entry' : `${tried.size} entries`
  return `${covers}, ${at}${reservation}${waits}`
}
