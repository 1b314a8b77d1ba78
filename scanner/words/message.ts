// What a translated sentence looks like, and which parameters it needs, checked by the compiler.

/** A sentence by number; `count` is its number. Languages may have more forms than these. */
export interface PluralMessage {
  readonly one: string
  readonly other: string
  readonly many?: string
}

/** A sentence with `{names}` in braces, or one by number. */
export type Message = string | PluralMessage

export type Messages = Readonly<Record<string, Message>>

/** The same keys in another language: a sentence for a sentence, forms for forms. */
export type Translated<M extends Messages> = {
  readonly [K in keyof M]: M[K] extends string ? string : PluralMessage
}

/** The names in braces of a sentence. */
export type NamesIn<T extends string> = T extends `${string}{${infer Name}}${infer Rest}`
  ? Name | NamesIn<Rest>
  : never

/** The parameters that a message needs; a message by number always needs `count`. */
export type NamesOf<M extends Message> = M extends string
  ? NamesIn<M>
  : M extends { readonly other: infer Other extends string }
    ? 'count' | NamesIn<Other>
    : never
