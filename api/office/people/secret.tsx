// Shows a link or code that is kept nowhere: once, as text and as a symbol for a camera.
import { create } from 'qrcode'

/** White modules around the symbol that ISO/IEC 18004 asks for. */
const quietModules = 4

/** A QR symbol of `text`, drawn without a script or a picture file; `label` says what it is. */
export function QrPicture({ text, label }: { text: string; label: string }) {
  const { modules } = create(text, { errorCorrectionLevel: 'M' })
  const side = modules.size + 2 * quietModules
  const dark = Array.from(modules.data).flatMap((isDark, nr) => {
    const x = (nr % modules.size) + quietModules
    const y = Math.floor(nr / modules.size) + quietModules
    return isDark ? [`M${x} ${y}h1v1h-1z`] : []
  })
  return (
    <svg class="qr" viewBox={`0 0 ${side} ${side}`} role="img" aria-label={label}>
      <rect width={side} height={side} fill="#fff" />
      <path d={dark.join('')} fill="#000" shape-rendering="crispEdges" />
    </svg>
  )
}

/** A secret link with its symbol, and who it is for. */
export function SecretLink(props: { address: string; label: string; note: string }) {
  return (
    <section class="secret">
      <p class="note" role="status">
        {props.note}
      </p>
      <p>
        <label for="secret-link">{props.label}</label>
        <input id="secret-link" type="text" readonly size={60} value={props.address} />
      </p>
      <QrPicture text={props.address} label={`${props.label}, for a camera`} />
    </section>
  )
}
