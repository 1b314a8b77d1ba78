// The fields that a lot cut here and a lot received share, and how they are read.
import { BUNDLE_LIMIT } from '#wire/kinds/lots.ts'
import { COUNT_LIMIT } from '#wire/basics.ts'
import type { AccountShape } from '#wire/basics.ts'
import { describePackageRule, PACKAGE_COUNT_SOURCE } from '#trade/package-count.ts'
import type { PolicyValues } from '#trade/policies.ts'
import { localDay } from '#trade/zone-time.ts'
import type { Database } from '../../../db/connect.ts'
import type { BundleWish } from '../../lots/bundles.ts'
import { materials } from '../../lots/new-lot.ts'
import type { LotWish } from '../../lots/new-lot.ts'
import { suggestReferences } from '../../lots/references.ts'
import { readPolicies } from '../../nursery/read.ts'
import { listSources } from '../../sources/read.ts'
import type { SourceLine } from '../../sources/read.ts'
import type { FormReader, FormState } from '../form.ts'
import { NoteField, NumberField, SelectField, TextField, WhenField } from '../form-page.tsx'
import type { Option } from '../form-page.tsx'
import { accountOptions, readAccount } from '../store/choices.ts'
import type { Choices } from '../store/choices.ts'
import { typedName, typedNameOrNull, typedNote } from '../typed-text.ts'

const REFERENCE_LIMIT = 40

/** What a fresh form starts from: the next reference, the last summer's wood, usual buds. */
export async function newLotStart(
  db: Database,
  now: Date,
  zone: string,
): Promise<Record<string, string>> {
  const [year = '', month = ''] = localDay(now.getTime(), zone).split('-')
  const [reference = ''] = await suggestReferences(db, Number(year), 1)
  const { policies } = await readPolicies(db, now)
  // Canes cut before June grew in the year before, north and south of the equator alike.
  const harvestYear = Number(month) < 6 ? Number(year) - 1 : Number(year)
  return {
    reference,
    material: 'scion wood',
    harvestYear: String(harvestYear),
    budsPerStick: String(policies.usableBudsPerStick.value),
  }
}

/** Names of schemes and classes to choose from while typing. */
export async function readClassNames(db: Database, now: Date) {
  const { policies } = await readPolicies(db, now)
  const ladder: PolicyValues['classLadder'] = policies.classLadder.value
  return {
    schemes: ladder.map(({ scheme }) => scheme),
    classes: [...new Set(ladder.flatMap(({ classes }) => classes))],
  }
}

export type ClassNames = Awaited<ReturnType<typeof readClassNames>>

/** The register as options; one page of it, narrowed by `text`. */
export async function sourceOptions(
  db: Database,
  text: string,
  now: Date,
): Promise<{ options: Option[]; sources: SourceLine[] }> {
  const sources = await listSources(db, { text, now })
  const options = sources.map((source) => ({
    value: source.source_id,
    label: [
      source.name,
      ...[source.variety, source.clone && `clone ${source.clone}`, source.class].filter(Boolean),
      ...(source.standing === null || source.standing === 'good' ? [] : [source.standing]),
      ...(source.held ? ['on hold'] : []),
    ].join(', '),
  }))
  return { options, sources }
}

/** Narrows the list of sources; shown when the register has more than one page. */
export function SourceSearch({ shown, text }: { shown: boolean; text: string }) {
  if (!shown) return null
  return (
    <form class="actions" method="get">
      <label for="sources">Show sources like</label>
      <input id="sources" name="sources" type="search" value={text} />
      <button>Show</button>
    </form>
  )
}

/** What the wood is. `asSource` says that empty fields follow the register. */
export function IdentityFields(props: { form: FormState; names: ClassNames; asSource: boolean }) {
  const { form, names, asSource } = props
  const hint = asSource ? { hint: 'leave empty for what the source is; – for none' } : {}
  return (
    <>
      <SelectField
        form={form}
        name="material"
        label="Material"
        required
        options={materials.map((material) => ({ value: material, label: material }))}
      />
      <TextField form={form} name="clone" label="Clone" size={16} {...hint} />
      <TextField form={form} name="scheme" label="Scheme" size={16} list="schemes" {...hint} />
      <TextField form={form} name="class" label="Class" size={16} list="classes" {...hint} />
      <NumberField
        form={form}
        name="harvestYear"
        label="Year of growth"
        required
        hint="the year in which the wood grew"
      />
      <NumberField
        form={form}
        name="budsPerStick"
        label="Usable buds on a stick"
        required
        hint="counted on a sample; 0 for blind wood and vines"
      />
      <NameList id="schemes" names={names.schemes} />
      <NameList id="classes" names={names.classes} />
    </>
  )
}

function NameList({ id, names }: { id: string; names: string[] }) {
  return (
    <datalist id={id}>
      {names.map((name) => (
        <option value={name} />
      ))}
    </datalist>
  )
}

/** How the wood is tied, with the counts that the law lists, as advice. */
export function BundleFields({ form }: { form: FormState }) {
  return (
    <>
      <NumberField
        form={form}
        name="bundleCount"
        label="Bundles tied"
        hint="each can carry a tag; the rest stays loose"
      />
      <NumberField form={form} name="piecesEach" label="In each bundle" />
    </>
  )
}

/** The legal package counts, to look up while tying. */
export function PackageCounts() {
  return (
    <details>
      <summary>Package counts that the law lists</summary>
      <ul>
        <li>scion wood with five usable buds or more: {describePackageRule('scion_five_eyes')}</li>
        <li>scion wood with one usable bud: {describePackageRule('scion_one_eye')}</li>
        <li>rootstock wood for grafting: {describePackageRule('rootstock_cutting')}</li>
        <li>blind wood for rooting: {describePackageRule('nursery_cutting')}</li>
        <li>grafted vines: {describePackageRule('grafted_vine')}</li>
        <li>rooted vines: {describePackageRule('rooted_vine')}</li>
      </ul>
      <p class="hint">
        {PACKAGE_COUNT_SOURCE}. Other counts are saved all the same, with a warning on the lot’s
        page; your own country’s law decides.
      </p>
    </details>
  )
}

/** Where the wood is, when, and what else there is to say. */
export function ArrivalFields(props: { form: FormState; choices: Choices; when: string }) {
  const { form, choices } = props
  return (
    <>
      <SelectField
        form={form}
        name="to"
        label="Where it is now"
        required
        options={accountOptions(choices)}
      />
      <WhenField form={form} name="when" label={props.when} />
      <NoteField form={form} name="note" label="Note" />
    </>
  )
}

/** Reads all of the above; `asSource` turns empty fields into `undefined`. */
export function readLotWish(
  form: FormReader,
  choices: Choices,
  now: Date,
  options: { asSource: boolean; when: string; countField: string; countLabel: string },
): LotWish {
  const said = (name: string, label: string) => readSaid(form, name, label, options.asSource)
  return {
    reference: typedName(form, 'reference', 'Lot reference', REFERENCE_LIMIT),
    material: form.choice('material', 'a material', materials),
    clone: said('clone', 'Clone'),
    scheme: said('scheme', 'Scheme'),
    class: said('class', 'Class'),
    harvestYear: form.whole('harvestYear', 'Year of growth', 1990, 2099),
    budsPerStick: form.whole('budsPerStick', 'Usable buds on a stick', 0, 30),
    count: form.whole(options.countField, options.countLabel, 1, COUNT_LIMIT),
    bundles: readBundleWish(form, 'bundleCount', 'piecesEach'),
    to: readPlaceOfArrival(form, choices),
    note: typedNote(form, 'note', 'Note'),
    at: form.when('when', options.when, choices.zone, now),
  }
}

/** Reads how many bundles of how many pieces. */
export function readBundleWish(form: FormReader, countName: string, eachName: string): BundleWish {
  return {
    bundleCount: form.optionalWhole(countName, 'Bundles tied', 1, BUNDLE_LIMIT),
    piecesEach: form.optionalWhole(eachName, 'In each bundle', 1, COUNT_LIMIT),
  }
}

function readPlaceOfArrival(form: FormReader, choices: Choices): AccountShape {
  return readAccount(form, 'to', 'where the wood is now', choices)
}

function readSaid(
  form: FormReader,
  name: string,
  label: string,
  asSource: boolean,
): string | null | undefined {
  if (/^[-–—]$/.test(form.raw(name))) return null
  const typed = typedNameOrNull(form, name, label)
  return typed === null && asSource ? undefined : typed
}
