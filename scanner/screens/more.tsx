/** @jsxImportSource preact */
// What is needed less often than a scan: looking up, last entries, settings, jobs without a tag.
import type { Job } from './job.ts'
import { Actions, BigButton, StepHeader } from './parts.tsx'
import type { Go } from './route.ts'
import { useSpeaker } from './speak.tsx'

export function MoreScreen({ go }: { go: Go }) {
  const { say } = useSpeaker()
  return (
    <>
      <StepHeader title={say('more.title')} />
      <div class="fill" />
      <div class="choices">
        <BigButton detail={say('more.find.about')} onPress={() => go({ at: 'find' })}>
          {say('more.find')}
        </BigButton>
        <BigButton detail={say('more.last.about')} onPress={() => go({ at: 'last' })}>
          {say('more.last')}
        </BigButton>
        <BigButton onPress={() => go({ at: 'unsent' })}>{say('more.unsent')}</BigButton>
        <BigButton onPress={() => go({ at: 'person' })}>{say('more.person')}</BigButton>
        <BigButton onPress={() => go({ at: 'settings' })}>{say('more.settings')}</BigButton>
      </div>
      <Actions>
        <BigButton onPress={() => go({ at: 'scan' })}>{say('part.back')}</BigButton>
      </Actions>
    </>
  )
}

interface WithoutTagProps {
  readonly jobs: readonly Job[]
  readonly begin: (job: Job) => void
  readonly onBack: () => void
}

export function WithoutTagScreen({ jobs, begin, onBack }: WithoutTagProps) {
  const { say } = useSpeaker()
  const possible = jobs
    .filter((job) => job.withoutScan)
    .sort((one, other) => one.order - other.order)
  return (
    <>
      <StepHeader title={say('without.title')} />
      {possible.length === 0 ? <p>{say('without.none')}</p> : null}
      <div class="fill" />
      <div class="two">
        {possible.map((job) => (
          <BigButton key={job.id} onPress={() => begin(job)}>
            {say(job.title)}
          </BigButton>
        ))}
      </div>
      <Actions>
        <BigButton onPress={onBack}>{say('part.back')}</BigButton>
      </Actions>
    </>
  )
}
