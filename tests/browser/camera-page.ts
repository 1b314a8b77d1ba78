// A page with nothing but a camera, a field and a reader that types, for the camera's own tests.
import { startScanning } from '../../scanner/camera/scan.ts'
import type { CameraRead } from '../../scanner/camera/scan.ts'
import { listenForReader } from '../../scanner/camera/typed-reader.ts'

const root = document.getElementById('app')
const video = document.createElement('video')
const field = document.createElement('input')
const button = document.createElement('button')
field.id = 'field'
button.id = 'button'
button.addEventListener('click', () => note('pressed', 'button'))
root?.append(video, field, button)

/** One more line in what the page has told, as `data-…` and as text. */
function note(what: string, text: string): void {
  const line = document.createElement('p')
  line.className = what
  line.textContent = text
  root?.append(line)
}

const scanning = startScanning(
  video,
  (read: CameraRead) => note(read.kind, read.kind === 'one' ? read.text : read.texts.join(' ')),
  {
    onChange: () => {
      document.body.dataset.trouble = scanning.trouble ?? ''
      document.body.dataset.looking = String(scanning.looking)
    },
  },
)
listenForReader(document, (text) => note('typed', text))
const count = () => {
  document.body.dataset.frames = String(1 + Number(document.body.dataset.frames ?? 0))
  video.requestVideoFrameCallback(count)
}
video.requestVideoFrameCallback(count)
document.body.dataset.begun = 'true'
// The test asks for these in turn.
addEventListener('test-again', () => scanning.again())
addEventListener('test-stop', () => {
  scanning.stop()
  const stream = video.srcObject
  note('stopped', String(stream === null))
})
