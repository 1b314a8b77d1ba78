/** @jsxImportSource preact */
// A QR symbol that another phone scans from this one's screen.
import { create } from 'qrcode'

/** Modules of white around it, as ISO/IEC 18004 asks for. */
const QUIET_MODULES = 4

/** Black on white whatever the colours around it; `label` says what it is for. */
export function Symbol({ text, label }: { text: string; label: string }) {
  const { modules } = create(text, { errorCorrectionLevel: 'M' })
  const { size } = modules
  const side = size + 2 * QUIET_MODULES
  let path = ''
  for (let y = 0; y < size; y++) {
    for (let x = 0; x < size; x++) {
      if (modules.get(y, x)) path += `M${x + QUIET_MODULES} ${y + QUIET_MODULES}h1v1h-1z`
    }
  }
  return (
    <svg
      class="symbol"
      viewBox={`0 0 ${side} ${side}`}
      shape-rendering="crispEdges"
      role="img"
      aria-label={label}
    >
      <rect width={side} height={side} fill="#fff" />
      <path d={path} fill="#000" />
    </svg>
  )
}
