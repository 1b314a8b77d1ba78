/** @jsxImportSource preact */
// Blades: disinfected in one tap with what was used last; a knife taken up for the grafts to come.
import { useState } from 'preact/hooks'
import { formatTagCode } from '#trade/tag-code.ts'
import type { Found, Phone } from '../../phone.ts'
import type { Job, JobProps } from '../../screens/job.ts'
import { Actions, BigButton, StepHeader } from '../../screens/parts.tsx'
import { useSpeaker } from '../../screens/speak.tsx'
import { useWriting, WritePanel } from '../../screens/writing.tsx'
import type { Speaker } from '../../words/speaker.ts'
import { disinfectDraft } from '../graft/graft-drafts.ts'
import { Manner, MANNER_KEY, noManner } from '../graft/manner.ts'
import { useRemembered } from '../remember.ts'
import { DISINFECTANTS, shownWords } from '../said.ts'
import { SayWhy } from '../say-why.tsx'

function knifeOf(found: Found | null): string | null {
  const isKnife = found?.what === 'thing' && found.thing.kind === 'knife'
  return isKnife ? found.thing.id : null
}

/** Knives have no names: the code of the tag on it can be compared. */
function knifeWords(knifeId: string, phone: Phone, t: Speaker): string {
  const code = phone.snapshot.codeOf({ kind: 'knife', id: knifeId })
  return code === null ? t.say('kind.knife') : `${t.say('kind.knife')} ${formatTagCode(code)}`
}

function DisinfectScreen({ phone, found, close }: JobProps) {
  const t = useSpeaker()
  const writing = useWriting(phone)
  const [manner, keepManner] = useRemembered(MANNER_KEY, Manner)
  const [another, setAnother] = useState(false)
  const knifeId = knifeOf(found) ?? phone.settings.knifeId
  const write = async (disinfectant: string) => {
    const written = await writing.write(disinfectDraft(knifeId, disinfectant, null))
    if (written === null) return
    await keepManner({ ...(manner ?? noManner), disinfectant })
    close(t.say('tool.saved'))
  }
  if (manner === undefined) return null
  const about = knifeId === null ? t.say('tool.noKnife') : knifeWords(knifeId, phone, t)
  const last = manner?.disinfectant ?? null
  if (last === null || another) {
    return (
      <>
        <WritePanel writing={writing} />
        <SayWhy
          title={t.say('tool.withWhat')}
          about={about}
          caution={t.say('tool.caution')}
          offered={DISINFECTANTS}
          onSay={write}
          onBack={() => (another ? setAnother(false) : close())}
        />
      </>
    )
  }
  return (
    <>
      <StepHeader title={t.say('tool.title')} about={about} />
      <p class="caution-line">{t.say('tool.caution')}</p>
      <WritePanel writing={writing} />
      <Actions>
        <BigButton look="quiet" onPress={() => close()}>
          {t.say('part.back')}
        </BigButton>
        <BigButton onPress={() => setAnother(true)}>{t.say('tool.other')}</BigButton>
        <BigButton look="main" onPress={() => write(last)}>
          {t.say('tool.again', { what: shownWords(last, t) })}
        </BigButton>
      </Actions>
    </>
  )
}

function TakeKnifeScreen({ phone, found, close }: JobProps) {
  const t = useSpeaker()
  const knifeId = knifeOf(found)
  const words = knifeId === null ? t.say('kind.knife') : knifeWords(knifeId, phone, t)
  const take = async () => {
    await phone.change({ knifeId })
    close(t.say('tool.taken', { knife: words }))
  }
  return (
    <>
      <StepHeader title={t.say('tool.takeTitle')} about={words} />
      <Actions>
        <BigButton look="quiet" onPress={() => close()}>
          {t.say('part.back')}
        </BigButton>
        <BigButton look="main" onPress={take}>
          {t.say('tool.takeTitle')}
        </BigButton>
      </Actions>
    </>
  )
}

export const disinfectJob: Job = {
  id: 'disinfect',
  title: 'tool.title',
  order: 60,
  withoutScan: true,
  offeredFor: (found) => knifeOf(found) !== null,
  Screen: DisinfectScreen,
}

export const takeKnifeJob: Job = {
  id: 'take-knife',
  title: 'tool.takeTitle',
  order: 50,
  withoutScan: false,
  offeredFor: (found) => knifeOf(found) !== null,
  Screen: TakeKnifeScreen,
}
