// Says in words by which routes a recall was followed, and what cannot be known about it.
import type { Route } from '#trade/health-agents.ts'
import { counted } from '../custody/finding-word-shape.ts'
import type { Recall } from './recall.ts'
import type { Unknown } from './recall-unknowns.ts'

/** A route as it is read by people. */
export const routeWords: Record<Route, string> = {
  graft: 'grafting and what was cut, parted or mixed',
  blade: 'the blade, from one disinfection to the next',
  water: 'the water of a bath',
  place: 'lying in the same place',
}

/** From when on wood counts, and why. */
export function sinceWords({ since, question }: Pick<Recall, 'since' | 'question'>): string {
  if (since.test === null) {
    const why =
      question.start.kind === 'source'
        ? 'no test of this source is recorded that looked for it and did not find it'
        : 'only sources are tested, so nothing says when it came'
    return `Everything ever made of it counts: ${why}.`
  }
  const { sampled_on, method, laboratory } = since.test
  return (
    `Counted from ${sampled_on} on: the last sample in which it was not detected ` +
    `(${method}, ${laboratory}).`
  )
}

/** One thing that cannot be known, and why. */
export function unknownWords(unknown: Unknown): string {
  switch (unknown.what) {
    case 'no clean test before':
      return 'Since when the agent was there: no earlier clean test is recorded.'
    case 'clean test was pooled':
      return (
        `Whether the clean test of ${unknown.day} could have missed it: ` +
        `${unknown.pooledVines} vines were tested as one sample.`
      )
    case 'test inconclusive':
      return `What the test of ${unknown.source} on ${unknown.day} means: it was inconclusive.`
    case 'agent not in the list':
      return 'How this agent travels: it is not in our list, so every route was followed.'
    case 'route not studied':
      return `Whether it travels by ${routeWords[unknown.route]}: not studied, so it was followed.`
    case 'lot of unknown origin':
      return `What lot ${unknown.reference} came of: it was received without a source.`
    case 'graft without a knife':
      return (
        `Which blade cut ${counted(unknown.count, 'graft')}: no knife was recorded, so the blade ` +
        'in the hand of that person was followed.'
      )
    case 'no disinfection recorded':
      return (
        `Whether blades were disinfected on ${counted(unknown.count, 'day')} of work: ` +
        'nothing is recorded, so they count as not disinfected.'
      )
    case 'trunk of unknown origin':
      return `What the trunks in ${counted(unknown.count, 'row')} came of: nobody recorded it.`
    case 'phone not heard of':
      return (
        `What ${unknown.device} still holds: it was last heard of ` +
        `${unknown.lastSeenAt?.toISOString().slice(0, 10) ?? 'never'}.`
      )
    case 'spread by insects and soil':
      return (
        'What insects, nematodes, soil or neighbouring vines carried: no record of wood shows ' +
        'it. Look at the vines around those that are reached.'
      )
    case 'too many steps':
      return 'Whether more is reached: the steps were too many to follow to the end.'
  }
}
