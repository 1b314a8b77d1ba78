// Makes docs/schemes.md from the schemes as the program has them.
import { isUnknown, SCHEMES } from '#trade/schemes/schemes.ts'
import type { Scheme, SchemeRule } from '#trade/schemes/scheme-shape.ts'

const paragraphs = [
  '# Rules of schemes',
  'What each scheme asks, as far as its text was read, and how far this program looks at it. ' +
    'Written by `npx tsx tests/trade/write-schemes.ts` from `api/trade/schemes/`. The text in ' +
    'force counts, not this page; whether something is certified is the authority’s to say.',
  'How sure the wording is: *confirmed*, read in the scheme’s own text; *in a transposition*, ' +
    'read in a national adoption of it; *from memory* and *not found*, never applied: the answer ' +
    'is “not known” until the nursery sets the figure under Sources, Rules of schemes, with ' +
    'where it is written. A rule that is built in still counts beside an own one.',
  'How an answer is found: the scheme is that which the source names; the day is that of ' +
    'cutting (in a dossier) or today (on a source’s page). An interval runs in calendar months ' +
    'from the latest conclusive sample of the vine itself; a sample of its block does not count ' +
    'for it. A foot is 0.3048 m. A graft’s class is that of its lowest part, where one scheme’s ' +
    'ladder knows all parts; that the lowest decides is this program’s reading. Whether a notice ' +
    'was sent is not on record: the day by which it is due is told.',
]

/** The whole page. */
export function schemesPage(): string {
  return [...paragraphs.map((text) => `${text}\n`), ...SCHEMES.map(section)].join('\n')
}

function section(scheme: Scheme): string {
  const { name, alsoCalled, classes, classesFrom, rules } = scheme
  const ladder = classes.length === 0 ? 'not known here' : classes.join(', ')
  return [
    `## ${name}`,
    '',
    `Also called: ${alsoCalled.join(', ')}. Classes, the strictest first: ${ladder} ` +
      `(${classesFrom.citation}; ${classesFrom.known}).`,
    '',
    '| about | rule | written in | how sure | looked at |',
    '|---|---|---|---|---|',
    ...rules.map(line),
    '',
  ].join('\n')
}

/** A nursery can set these itself. */
const settable: readonly string[] = ['retest', 'isolation', 'inspection']

function line(rule: SchemeRule): string {
  const looked =
    rule.check !== null
      ? 'yes'
      : isUnknown(rule) && settable.includes(rule.topic)
        ? 'once it is set'
        : 'by people'
  return `| ${rule.topic} | ${rule.words} | ${rule.citation} | ${rule.known} | ${looked} |`
}
