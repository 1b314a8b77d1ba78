// What a scanned text is, in words, and what to do when it is no tag that can be used.
import { readProofText } from '#trade/proof-text.ts'
import type { ProofText } from '#trade/proof-text.ts'
import { formatTagCode, parseTagInput, TAG_CODE_LENGTH } from '#trade/tag-code.ts'
import type { Found, Phone } from '../phone.ts'
import type { Speaker } from '../words/speaker.ts'
import type { PlainKey } from '../words/say.ts'
import { groupsToCompare } from './slip.ts'

/** Most characters of a foreign text that are shown. */
const FOREIGN_TEXT_LIMIT = 120

/** A read that leads nowhere by itself, said so that a person can mend it. */
export interface FoundProblem {
  readonly what: string
  readonly todo: string
  /** The text itself, shortened. */
  readonly fact?: string
}

/** The problem with a read; null when it is a thing of this nursery or a handover. */
export function foundProblem(
  found: Found,
  phone: Pick<Phone, 'snapshot'>,
  speaker: Speaker,
): FoundProblem | null {
  switch (found.what) {
    case 'thing':
    case 'handover':
      return null
    case 'unbound':
      return problem(speaker, 'unbound', formatTagCode(found.code))
    case 'ended':
      return problem(speaker, found.spoiled ? 'spoiled' : 'ended', formatTagCode(found.code))
    case 'unknown code':
      return problem(speaker, 'unknown', formatTagCode(found.code))
    case 'other nursery':
      return problem(speaker, 'otherNursery', `${found.host}\n${formatTagCode(found.code)}`)
    case 'foreign':
      return foreignProblem(found.text, speaker)
    case 'slip':
      return slipProblem(found, phone, speaker)
  }
}

type ProblemName =
  | 'unbound'
  | 'ended'
  | 'spoiled'
  | 'unknown'
  | 'otherNursery'
  | 'foreignWeb'
  | 'foreignWifi'
  | 'foreignText'
  | 'journalProof'

function problem(speaker: Speaker, name: ProblemName, fact: string): FoundProblem {
  const what: PlainKey = `found.${name}.what`
  const todo: PlainKey = `found.${name}.todo`
  return { what: speaker.say(what), todo: speaker.say(todo), fact }
}

function slipProblem(
  found: Extract<Found, { what: 'slip' }>,
  phone: Pick<Phone, 'snapshot'>,
  speaker: Speaker,
): FoundProblem {
  const fact = shortened(found.typed)
  const input = parseTagInput(found.typed)
  if (!input.ok && input.problem === 'wrong_length') {
    const { length } = input
    return {
      what: speaker.say('slip.length.what', { length, expected: TAG_CODE_LENGTH }),
      todo: speaker.say(length < TAG_CODE_LENGTH ? 'slip.short.todo' : 'slip.long.todo'),
      fact,
    }
  }
  if (!input.ok && input.problem === 'not_a_code') {
    return {
      what: speaker.say('slip.letter.what', { character: input.character }),
      todo: speaker.say('slip.letter.todo'),
      fact,
    }
  }
  const groups = groupsToCompare(found.typed, (code) => phone.snapshot.find(code).what === 'thing')
  return {
    what: speaker.say('slip.check.what'),
    todo:
      groups.length === 0
        ? speaker.say('slip.check.todo')
        : speaker.say('slip.group.todo', { groups: speaker.list(groups.map(String)) }),
    fact: input.ok ? fact : formatTagCode(input.problem === 'wrong_check' ? input.text : fact),
  }
}

function foreignProblem(text: string, speaker: Speaker): FoundProblem {
  const proof = readProofText(text)
  if (proof === null) return problem(speaker, foreignKind(text), shortened(text))
  return problem(speaker, 'journalProof', shortened(proofFact(proof, text)))
}

/** Whose journal and how many entries, in place of a text that nobody can read. */
function proofFact({ origin, size }: ProofText, text: string): string {
  return origin === null ? text : `${origin}: ${size}`
}

function foreignKind(text: string): ProblemName {
  if (/^https?:\/\//iu.test(text)) return 'foreignWeb'
  return /^WIFI:/u.test(text) ? 'foreignWifi' : 'foreignText'
}

/**
 * At most FOREIGN_TEXT_LIMIT characters on one line; what does not print, or turns the writing
 * direction, is shown as a dot. A password in a Wi-Fi code is left out.
 */
export function shortened(text: string): string {
  const told = /^WIFI:/u.test(text) ? text.replace(/P:(?:\\.|[^;\\])*/u, 'P:…') : text
  const characters = [...told.slice(0, FOREIGN_TEXT_LIMIT * 2)]
  const shown = characters.slice(0, FOREIGN_TEXT_LIMIT).join('')
  const plain = shown.replace(/[\p{Cc}\p{Cf}\p{Cs}\p{Co}\p{Zl}\p{Zp}]/gu, '·')
  return characters.length <= FOREIGN_TEXT_LIMIT ? plain : `${plain} …`
}
