/** @jsxImportSource preact */
// Ties bundles and binds their tags by scanning them in turn; a used tag is refused in words.
import { useState } from 'preact/hooks'
import { formatTagCode } from '#trade/tag-code.ts'
import type { Found, Phone } from '../../phone.ts'
import { NumberPad } from '../../screens/number-pad.tsx'
import { Actions, BigButton, StepHeader } from '../../screens/parts.tsx'
import { ScanNext } from '../../screens/scan-next.tsx'
import { useSpeaker } from '../../screens/speak.tsx'
import { foundTitle } from '../../screens/thing-words.ts'
import type { PlainKey } from '../../words/say.ts'
import type { Speaker } from '../../words/speaker.ts'
import { canTie, looseSticks, nextBundle } from './cut-drafts.ts'
import type { CutRecord } from './cut-record.ts'
import { tagUse } from './tag-use.ts'
import type { TagUse } from './tag-use.ts'

interface CutTagsProps {
  readonly phone: Phone
  readonly cut: CutRecord
  readonly sticks: number
  readonly onChange: (change: Partial<CutRecord>) => unknown
  readonly onBack: () => unknown
}

export function CutTags(props: CutTagsProps) {
  const { phone, cut, sticks, onChange, onBack } = props
  const t = useSpeaker()
  const [isWhole, setWhole] = useState(false)
  const [asked, setAsked] = useState<string | null>(null)
  const counted = { sticks, bundles: cut.bundles }
  const taken = [...cut.bundles.map(({ code }) => code), ...(cut.lotCode ? [cut.lotCode] : [])]
  if (cut.each === null && !isWhole) {
    return (
      <BundleSize
        sticks={sticks}
        onEach={(each) => onChange({ each })}
        onWhole={() => setWhole(true)}
        onNone={() => onChange({ isTagged: true })}
        onBack={onBack}
      />
    )
  }
  const each = cut.each ?? sticks
  const bind = (code: string) => {
    setAsked(null)
    if (isWhole) return onChange({ lotCode: code, isTagged: true })
    const tied = { bundleId: phone.newId(), code, sticks: nextBundle(counted, each) }
    return onChange({ bundles: [...cut.bundles, tied] })
  }
  if (asked !== null) {
    return <AskTag code={asked} onYes={() => bind(asked)} onNo={() => setAsked(null)} />
  }
  const fits = (found: Found): true | string => {
    const use = tagUse(found, taken)
    return use.use !== 'refused' || refusalWords(use, found, phone, t)
  }
  const take = (found: Found) => {
    const use = tagUse(found, taken)
    if (use.use === 'free') return bind(use.code)
    return use.use === 'ask' ? setAsked(use.code) : undefined
  }
  const pieces = (count: number) => t.say('count.sticks', { count })
  const next = { nr: cut.bundles.length + 1, sticks: pieces(nextBundle(counted, each)) }
  const resize = () => (isWhole ? setWhole(false) : onChange({ each: null }))
  return (
    <>
      <StepHeader
        title={t.say('cut.tags')}
        about={t.say('cut.looseLeft', { sticks: pieces(looseSticks(counted)) })}
      />
      {isWhole || canTie(counted) ? (
        <ScanNext
          phone={phone}
          ask={isWhole ? t.say('cut.scanLotTag') : t.say('cut.scanTag', next)}
          fits={fits}
          onFound={take}
        />
      ) : (
        <p class="good" role="status">
          ✓ {t.say('cut.allTied')}
        </p>
      )}
      <Tied cut={cut} />
      <Actions>
        <Untie {...{ cut, onChange }} onResize={resize} />
        <BigButton look="main" onPress={() => onChange({ isTagged: true })}>
          {t.say('part.next')}
        </BigButton>
      </Actions>
    </>
  )
}

interface UntieProps extends Pick<CutTagsProps, 'cut' | 'onChange'> {
  readonly onResize: () => unknown
}

function Untie({ cut, onChange, onResize }: UntieProps) {
  const t = useSpeaker()
  const untie = () => onChange({ bundles: cut.bundles.slice(0, -1) })
  return (
    <div class="row small-words">
      <BigButton look="quiet" onPress={onResize}>
        {t.say('cut.each')}
      </BigButton>
      {cut.bundles.length === 0 ? null : (
        <BigButton look="quiet" onPress={untie}>
          {t.say('cut.untie', { nr: cut.bundles.length })}
        </BigButton>
      )}
    </div>
  )
}

/** What is tied so far, the newest on top. */
function Tied({ cut }: Pick<CutTagsProps, 'cut'>) {
  const t = useSpeaker()
  return (
    <ol class="tied" reversed>
      {[...cut.bundles.entries()].reverse().map(([nr, { bundleId, sticks, code }]) => (
        <li key={bundleId}>
          {t.say('cut.tied', {
            nr: nr + 1,
            sticks: t.say('count.sticks', { count: sticks }),
            code: formatTagCode(code),
          })}
        </li>
      ))}
    </ol>
  )
}

interface BundleSizeProps {
  readonly sticks: number
  readonly onEach: (each: number) => unknown
  readonly onWhole: () => void
  readonly onNone: () => unknown
  readonly onBack: () => unknown
}

function BundleSize({ sticks, onEach, onWhole, onNone, onBack }: BundleSizeProps) {
  const t = useSpeaker()
  const [each, setEach] = useState<number | null>(null)
  const fits = each !== null && each >= 1 && each <= sticks
  return (
    <>
      <StepHeader title={t.say('cut.each')} about={t.say('count.sticks', { count: sticks })} />
      <NumberPad label={t.say('cut.count')} value={each} min={1} max={sticks} onChange={setEach} />
      <Actions>
        <BigButton look="main" disabled={!fits} onPress={() => (fits ? onEach(each) : undefined)}>
          {t.say('part.next')}
        </BigButton>
        <div class="row small-words">
          <BigButton look="quiet" onPress={onBack}>
            {t.say('part.back')}
          </BigButton>
          <BigButton onPress={onWhole}>{t.say('cut.wholeLot')}</BigButton>
          <BigButton onPress={onNone}>{t.say('cut.noTags')}</BigButton>
        </div>
      </Actions>
    </>
  )
}

interface AskTagProps {
  readonly code: string
  readonly onYes: () => unknown
  readonly onNo: () => void
}

/** A good code that the phone has no word of: new from the printer, or not. */
function AskTag({ code, onYes, onNo }: AskTagProps) {
  const t = useSpeaker()
  return (
    <>
      <StepHeader title={t.say('cut.askTag', { code: formatTagCode(code) })} />
      <p>{t.say('cut.askTag.todo')}</p>
      <Actions>
        <BigButton onPress={onNo}>{t.say('cut.askTag.no')}</BigButton>
        <BigButton look="main" onPress={onYes}>
          {t.say('cut.askTag.yes')}
        </BigButton>
      </Actions>
    </>
  )
}

type Refused = Extract<TagUse, { use: 'refused' }>

const REFUSED: Readonly<Record<Exclude<Refused['why'], 'bound' | 'slip'>, PlainKey>> = {
  ended: 'cut.ended',
  spoiled: 'cut.spoiled',
  twice: 'cut.twice',
  'other nursery': 'cut.otherNursery',
  'no tag': 'cut.noTag',
}

/** Why a tag is not taken; a slip of the hand is explained by the scan itself. */
function refusalWords(use: Refused, found: Found, phone: Phone, t: Speaker): string {
  if (use.why === 'slip') return ''
  if (use.why !== 'bound') return t.say(REFUSED[use.why])
  return t.say('cut.bound', { what: foundTitle(found, phone, t) ?? '?' })
}
