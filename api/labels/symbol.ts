// The QR symbol of a tag: its payload, its modules, and module sizes in whole printer dots.
import { create, type QRCodeErrorCorrectionLevel } from 'qrcode'
import { isTagCode, tagAddress } from '#trade/tag-code.ts'

/** Printer resolutions that module sizes are matched to, in dots per inch. */
export const PRINTER_DPI = [203, 300, 600] as const
export type PrinterDpi = (typeof PRINTER_DPI)[number]

/** Smallest module for a tag read outdoors, in mm. Rule of thumb from memory, no source. */
export const FIELD_MODULE_MINIMUM_MM = 0.5
/** Smallest module for a label read in the hand, in mm. Rule of thumb from memory, no source. */
export const HAND_MODULE_MINIMUM_MM = 0.33
/** Fewest printer dots per module for sharp edges. Rule of thumb from memory, no source. */
export const MODULE_DOTS_MINIMUM = 4
/** White modules around a symbol that ISO/IEC 18004 asks for. */
export const QUIET_ZONE_STANDARD_MODULES = 4

/** A QR symbol as a square of modules. */
export interface QrSymbol {
  payload: string
  /** ISO/IEC 18004 version, 1 to 40. */
  version: number
  level: 'L' | 'M' | 'Q' | 'H'
  /** Modules along one side, without quiet zone. */
  sideModules: number
  /** Row by row, 1 where a module is dark. */
  modules: Uint8Array
}

/**
 * The symbol of a field tag: the bare code, error correction H.
 * @throws RangeError when the code is not one
 */
export function fieldTagSymbol(code: string): QrSymbol {
  if (!isTagCode(code)) throw new RangeError(`"${code}" is not a tag code`)
  return makeSymbol(code, 'H')
}

/**
 * The symbol of a label that leaves the nursery: HTTPS://HOST/T/CODE, error correction Q, or H
 * where that costs no more modules.
 * @throws RangeError when the host or the code is not one
 */
export function leavingLabelSymbol(host: string, code: string): QrSymbol {
  const address = tagAddress(host, code)
  const quartile = makeSymbol(address, 'Q')
  const high = makeSymbol(address, 'H')
  return high.sideModules === quartile.sideModules ? high : quartile
}

/** The width of one printer dot, in mm. */
export function dotMm(printerDpi: PrinterDpi): number {
  return 25.4 / printerDpi
}

/** Printer dots that one module of this width takes at a resolution; not rounded. */
export function dotsPerModule(moduleMm: number, dpi: number): number {
  return (moduleMm * dpi) / 25.4
}

/** The symbol of a journal proof: the whole signed note, as bytes of UTF-8. */
export function proofSymbol(note: string, level: 'L' | 'M'): QrSymbol {
  return makeSymbol(note, level)
}

function makeSymbol(payload: string, level: QrSymbol['level']): QrSymbol {
  const errorCorrectionLevel: QRCodeErrorCorrectionLevel = level
  const { modules, version } = create(payload, { errorCorrectionLevel })
  return {
    payload,
    version,
    level,
    sideModules: modules.size,
    modules: Uint8Array.from(modules.data, (dark) => (dark ? 1 : 0)),
  }
}
