/** @jsxImportSource preact */
// Opens the phone's inside and shows the app; says so in words when the store does not open.
import { render } from 'preact'
import { takeEnrolCode } from './keys/enrol-fragment.ts'
import { openPhone } from './live-phone.ts'
import { App } from './screens/app.tsx'
import { wakeSound } from './screens/signals.ts'
import { firstSettings } from './settings.ts'
import { say } from './words/say.ts'
import { watchUpdates } from './worker/updates.ts'

async function main(): Promise<void> {
  const root = document.getElementById('app')
  if (root === null) throw new Error('assertion failed: the page has a place for the app')
  const enrolCode = takeEnrolCode()
  // Browsers let a page make a sound only after it was touched.
  addEventListener('pointerdown', wakeSound, { once: true })
  try {
    const phone = await openPhone()
    const updates = watchUpdates()
    render(<App phone={phone} enrolCode={enrolCode} updates={updates} />, root)
  } catch (error) {
    console.error(error)
    render(<Broken />, root)
  }
}

/** In the browser's language, for the person's own choice could not be read. */
function Broken() {
  const { language } = firstSettings(navigator.languages)
  document.documentElement.lang = language
  return (
    <main class="screen">
      <h1>{say(language, 'app.name')}</h1>
      <div class="trouble" role="alert">
        <p class="what">{say(language, 'app.broken.what')}</p>
        <p class="todo">{say(language, 'app.broken.todo')}</p>
      </div>
    </main>
  )
}

void main()
