// The browser's own detector of symbols (W3C Shape Detection draft), where there is one for QR.
import type { Decoders } from './decoders.ts'
import { rgbaOfGrey } from './picture.ts'
import type { Point } from './picture.ts'

/** What the draft says of it; the standard types leave it out. */
interface Detector {
  detect(image: ImageData): Promise<{ rawValue: string; cornerPoints: readonly Point[] }[]>
}
interface DetectorClass {
  new (options: { formats: string[] }): Detector
  getSupportedFormats(): Promise<string[]>
}

/** Resolves to null where the browser has no detector, or one that knows no QR symbols. */
export async function browserDetector(): Promise<Decoders['browser']> {
  const scope = globalThis as { BarcodeDetector?: DetectorClass }
  if (scope.BarcodeDetector === undefined) return null
  try {
    const formats = await scope.BarcodeDetector.getSupportedFormats()
    if (!formats.includes('qr_code')) return null
    const detector = new scope.BarcodeDetector({ formats: ['qr_code'] })
    return async (picture) => {
      const image = new ImageData(rgbaOfGrey(picture), picture.width, picture.height)
      const found = await detector.detect(image)
      return found.map(({ rawValue, cornerPoints }) => {
        return { text: rawValue, corners: cornerPoints, marginal: false }
      })
    }
  } catch {
    return null
  }
}
