/** @jsxImportSource preact */
// The three words for each graft of a vine, or for each of its buds.
import type { Phone, PhoneGraft } from '../../phone.ts'
import { BigButton } from '../../screens/parts.tsx'
import { useSpeaker } from '../../screens/speak.tsx'
import { FATES, seenAlike, seenBud } from './take-drafts.ts'
import type { Fate, Seen, TakeManner } from './take-drafts.ts'
import { dayWords, FATE_SHAPES, FATE_WORDS } from './take-words.ts'

interface TakeFatesProps {
  readonly phone: Phone
  readonly grafts: readonly PhoneGraft[]
  readonly seen: Seen
  readonly manner: TakeManner
  readonly onSeen: (seen: Seen) => unknown
}

/** One graft shows its three words large; several are told apart by their lot. */
export function TakeFates({ phone, grafts, seen, manner, onSeen }: TakeFatesProps) {
  const t = useSpeaker()
  return (
    <>
      {grafts.map((graft) => {
        const lot = phone.snapshot.lot(graft.lotId)
        const about = t.say('take.graft', {
          lot: lot === null ? t.say('kind.lot') : `${lot.reference} ${lot.varietyName}`,
          buds: t.say('count.buds', { count: graft.budCount }),
          day: dayWords(graft.graftedAt, t),
        })
        const buds = seen.get(graft.graftId) ?? []
        return (
          <div key={graft.graftId} class="fates">
            <p class="about">{about}</p>
            {manner === 'by graft' ? (
              <Fates
                label={about}
                large={grafts.length === 1}
                chosen={alikeOf(buds)}
                onFate={(fate) => onSeen(seenAlike(seen, graft.graftId, fate))}
              />
            ) : (
              buds.map((bud, nr) => (
                <Fates
                  key={nr}
                  label={t.say('take.bud', { nr: nr + 1 })}
                  shownLabel
                  chosen={bud}
                  onFate={(fate) => onSeen(seenBud(seen, graft.graftId, nr, fate))}
                />
              ))
            )}
          </div>
        )
      })}
    </>
  )
}

interface FatesProps {
  readonly label: string
  readonly shownLabel?: boolean
  readonly large?: boolean
  readonly chosen: Fate | null
  readonly onFate: (fate: Fate) => unknown
}

function Fates({ label, shownLabel = false, large = false, chosen, onFate }: FatesProps) {
  const t = useSpeaker()
  return (
    <div role="group" aria-label={label}>
      {shownLabel ? <p class="field-label">{label}</p> : null}
      <div class={large ? 'choices fate-list' : 'row fate-list'}>
        {FATES.map((fate) => (
          <BigButton
            key={fate}
            look={large && fate === 'growing' ? 'main' : 'plain'}
            pressed={chosen === fate}
            onPress={() => onFate(fate)}
          >
            <span aria-hidden="true">{FATE_SHAPES[fate]} </span>
            {t.say(FATE_WORDS[fate])}
          </BigButton>
        ))}
      </div>
    </div>
  )
}

function alikeOf(buds: readonly (Fate | null)[]): Fate | null {
  const [first = null] = buds
  return buds.every((bud) => bud === first) ? first : null
}
