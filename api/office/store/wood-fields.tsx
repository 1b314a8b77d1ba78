// The part of a form where a person says which wood: lines to tick, counts, and tags to scan.
import type { Judgement } from '#trade/judge.ts'
import { budsField, nameOf, sticksField, tagsField, woodField } from '../../store/choose-wood.ts'
import { POSITION_PAGE } from '../../store/positions.ts'
import type { WoodPosition } from '../../store/positions.ts'
import { piecesText, pieceWord } from '../../lots/pieces.ts'
import type { FormReader, FormState } from '../form.ts'
import { NoteField } from '../form-page.tsx'
import { VerdictMark } from '../layout.tsx'

/** The value of the tick that stands for every line listed. */
const EVERYTHING = 'all'
const listedField = 'listed'

type WoodFieldsProps = {
  form: FormState
  legend: string
  positions: readonly WoodPosition[]
  more: boolean
  verdicts: ReadonlyMap<string, Judgement>
  /** The wood of one lot only: a single line is then chosen without asking. */
  oneLot: boolean
}

/** Lines to tick with their counts, and a box for tags. */
export function WoodFields(props: WoodFieldsProps) {
  const { form, positions } = props
  const error = form.errors[woodField]
  const only = props.oneLot && positions.length === 1
  return (
    <>
      <fieldset class="field" id={`field-${woodField}`}>
        <legend>{props.legend}</legend>
        {only ? null : <p class="hint">tick it; give a count where not all of it is meant</p>}
        {error === undefined ? null : (
          <p class="error" id={`error-${woodField}`}>
            {error}
          </p>
        )}
        <WoodTable {...props} only={only} />
        {only ? null : <EverythingTick form={form} positions={positions} />}
        {props.more ? (
          <p class="hint">
            The first {POSITION_PAGE} lots are listed. Type a part of a reference above to find
            others, or scan their tags.
          </p>
        ) : null}
      </fieldset>
      {only ? null : (
        <NoteField
          form={form}
          name={tagsField}
          label="Bundle tags"
          hint="scan or type one a line; each takes the whole bundle"
        />
      )}
    </>
  )
}

function WoodTable(props: WoodFieldsProps & { only: boolean }) {
  const { form, positions, verdicts, only } = props
  const ticked = new Set(form.values[woodField] ?? [])
  return (
    <div class="table">
      <table>
        <caption class={only ? '' : 'unseen'}>
          {only ? 'All its wood is in one place' : 'Wood to tick'}
        </caption>
        <thead>
          <tr>
            <th scope="col">Lot</th>
            <th scope="col">Verdict</th>
            <th scope="col">Variety</th>
            <th scope="col">Where</th>
            <th scope="col">There</th>
            <th scope="col">How many (empty: all)</th>
          </tr>
        </thead>
        <tbody>
          {positions.map((position) => (
            <WoodLine
              form={form}
              position={position}
              only={only}
              ticked={ticked.has(position.key)}
              verdict={verdicts.get(position.lotId)}
            />
          ))}
        </tbody>
      </table>
    </div>
  )
}

function WoodLine(props: {
  form: FormState
  position: WoodPosition
  only: boolean
  ticked: boolean
  verdict: Judgement | undefined
}) {
  const { form, position, verdict } = props
  const { key, material } = position
  const name = `${position.reference}, ${bundleWord(position)}`
  return (
    <tr>
      <td class="whole">
        {props.only ? (
          <>
            {name}
            <input type="hidden" name={woodField} value={key} />
          </>
        ) : (
          <label class="tick">
            <input type="checkbox" name={woodField} value={key} checked={props.ticked} /> {name}
          </label>
        )}
      </td>
      <td>{verdict === undefined ? '' : <VerdictMark verdict={verdict.verdict} />}</td>
      <td>{[position.variety ?? 'unknown', position.clone ?? ''].join(' ')}</td>
      <td>{position.accountName}</td>
      <td class="whole">{piecesText(material, position)}</td>
      <td>
        <CountField
          form={form}
          name={sticksField(key)}
          shown={position.sticks > 0}
          isNamed={position.buds > 0}
          words={pieceWord(material, 2)}
          of={nameOf(position)}
        />
        <CountField
          form={form}
          name={budsField(key)}
          shown={position.buds > 0}
          isNamed
          words="buds"
          of={nameOf(position)}
        />
      </td>
    </tr>
  )
}

const bundleWord = ({ bundleNumber }: WoodPosition) =>
  bundleNumber === null ? 'loose' : `bundle ${bundleNumber}`

function CountField(props: {
  form: FormState
  name: string
  shown: boolean
  /** Are the words shown beside it? Not where there is nothing to tell apart. */
  isNamed: boolean
  words: string
  of: string
}) {
  const { form, name } = props
  const error = form.errors[name]
  if (!props.shown && error === undefined) return null
  return (
    <span class={error === undefined ? 'count' : 'count wrong'}>
      <input
        type="text"
        inputmode="numeric"
        size={5}
        id={`field-${name}`}
        name={name}
        value={form.values[name]?.[0] ?? ''}
        aria-label={`${props.words} of ${props.of}`}
        {...(error === undefined
          ? {}
          : { 'aria-invalid': 'true' as const, 'aria-describedby': `error-${name}` })}
      />
      {props.isNamed ? ` ${props.words}` : ''}
      {error === undefined ? null : (
        <span class="error" id={`error-${name}`}>
          {' '}
          {error}
        </span>
      )}
    </span>
  )
}

/** Remembers which lines were listed, so that the tick takes what was seen and nothing newer. */
function EverythingTick(props: { form: FormState; positions: readonly WoodPosition[] }) {
  if (props.positions.length < 2) return null
  const ticked = props.form.values[woodField]?.includes(EVERYTHING) === true
  return (
    <>
      {props.positions.map(({ key }) => (
        <input type="hidden" name={listedField} value={key} />
      ))}
      <label class="tick">
        <input type="checkbox" name={woodField} value={EVERYTHING} checked={ticked} /> everything
        listed here
      </label>
    </>
  )
}

/** The keys ticked, with the tick for everything spelled out. */
export function tickedKeys(form: FormReader): string[] {
  const ticked = form.all(woodField)
  if (!ticked.includes(EVERYTHING)) return ticked
  return [...new Set([...ticked.filter((key) => key !== EVERYTHING), ...form.all(listedField)])]
}

/** Keys that a count was typed for. */
export function countedKeys(form: FormReader): string[] {
  return Object.keys(form.values).flatMap((name) => {
    const key = /^(?:sticks|buds)-(.+)$/.exec(name)?.[1]
    return key === undefined || form.raw(name) === '' ? [] : [key]
  })
}
