// The shape of a scheme's rules: what is asked, on whose word, and what a program can work out.

/**
 * How sure the wording is. `confirmed`: read in the scheme's own text. `in a transposition`: read
 * in a national adoption of it. `from memory` and `not found`: never applied, whatever the number
 * may be. `set by the nursery`: entered here, on the word that it names.
 */
export type RuleMark =
  'confirmed' | 'in a transposition' | 'from memory' | 'not found' | 'set by the nursery'

export type RuleTopic =
  | 'lineage'
  | 'retest'
  | 'isolation'
  | 'inspection'
  | 'graft of two classes'
  | 'label'
  | 'records'
  | 'notice'
  | 'counts'

/** A rule that facts can answer. `classes` null: every class; `agents` null: any test counts. */
export type RuleCheck =
  | {
      readonly kind: 'retest'
      readonly everyMonths: number
      readonly classes: readonly string[] | null
      readonly agents: readonly string[] | null
    }
  /** Nearer than `metres` is too near; `surelyMetres` are enough whatever the ground. */
  | {
      readonly kind: 'isolation'
      readonly metres: number
      readonly surelyMetres: number
      readonly classes: readonly string[] | null
    }
  | {
      readonly kind: 'inspections'
      readonly perYear: number
      readonly classes: readonly string[] | null
    }
  /** For each class, the classes that its parent may be of; some only on further conditions. */
  | {
      readonly kind: 'lineage'
      readonly from: Readonly<Record<string, readonly string[]>>
      readonly onConditions?: Readonly<Record<string, readonly string[]>>
    }
  /** Something must be sent to the authority within so many months of topworking. */
  | { readonly kind: 'notice'; readonly withinMonths: number }
  /** The authority must be told before topworking. */
  | { readonly kind: 'notice before' }

type RuleWords = {
  /** Never changes: answers name it. */
  readonly id: string
  readonly topic: RuleTopic
  readonly words: string
  readonly citation: string
}

/** Only a rule whose text was read, or that the nursery set, has anything to check. */
export type SchemeRule = RuleWords &
  (
    | {
        readonly known: 'confirmed' | 'in a transposition' | 'set by the nursery'
        readonly check: RuleCheck | null
      }
    | { readonly known: 'from memory' | 'not found'; readonly check: null }
  )

/** One scheme: its classes, the strictest first, and its rules. */
export type Scheme = {
  readonly id: string
  readonly name: string
  /** What a register may call it; compared without case, spaces and marks. */
  readonly alsoCalled: readonly string[]
  readonly classes: readonly string[]
  readonly classesFrom: { readonly citation: string; readonly known: RuleMark }
  readonly rules: readonly SchemeRule[]
}

/** A foot in metres, exactly. */
export const FOOT_METRES = 0.3048

/** Compares names without case, accents, spaces and marks. */
export function plainName(text: string): string {
  return text
    .normalize('NFD')
    .replace(/[^\p{L}\p{N}]/gu, '')
    .toLowerCase()
}
