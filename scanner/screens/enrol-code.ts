// Reads an enrolment code out of what was scanned or typed.
import { TAG_ALPHABET } from '#trade/tag-code.ts'
import { ENROL_CODE_LENGTH, plainEnrolCode } from '#wire/api-enrol.ts'

/** The code of an address like `https://host/scanner/#enrol=CODE`, or a bare code; else null. */
export function enrolCodeIn(text: string): string | null {
  const carried = /#enrol=([^&#]+)/u.exec(text)?.[1] ?? text
  const code = plainEnrolCode(carried)
  const isCode =
    code.length === ENROL_CODE_LENGTH && [...code].every((sign) => TAG_ALPHABET.includes(sign))
  return isCode ? code : null
}
