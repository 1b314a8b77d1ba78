// Takes a phone's file of unsent entries in at the desk, when no network reaches the phone.
import type { Context } from 'hono'
import type { Env } from '../../platform/services.ts'
import { Refusal } from '../../platform/errors.ts'
import { takeInFile } from '../../sync/entry-file.ts'
import { FileField, FormProblems, show, submit } from '../form-page.tsx'
import { freshForm } from '../form.ts'
import type { FormState } from '../form.ts'
import { Page } from '../layout.tsx'

/** Shows the form, and what became of the file before. */
export function showEntryFile(c: Context<Env>) {
  return show(c, entryFilePage(c, freshForm()))
}

/** Records what the file holds. */
export function saveEntryFile(c: Context<Env>) {
  return submit(c, {
    page: (form) => entryFilePage(c, form),
    save: async (form) => {
      const { file } = form.files
      if (file === undefined || file.size === 0) form.problem('file', 'choose the phone’s file')
      form.check()
      const bytes = new Uint8Array((await file?.arrayBuffer()) ?? new ArrayBuffer(0))
      const { recorded, known, setAside } = await takeIn(c, bytes, (detail) => {
        form.problem('file', detail)
        form.check()
      })
      return `/people/devices/file?recorded=${recorded}&known=${known}&aside=${setAside}`
    },
  })
}

async function takeIn(c: Context<Env>, bytes: Uint8Array, say: (detail: string) => void) {
  try {
    return await takeInFile(c.get('services').db, bytes)
  } catch (error) {
    if (error instanceof Refusal && error.code === 'bad_file') say(error.message)
    throw error
  }
}

function entryFilePage(c: Context<Env>, form: FormState) {
  return (
    <Page
      c={c}
      title="Take in a phone’s file"
      lead="Every entry in it carries its phone’s signature; what is here already changes nothing."
    >
      <Outcome c={c} />
      <FormProblems form={form} />
      <form method="post" action="/people/devices/file" enctype="multipart/form-data">
        <FileField
          form={form}
          name="file"
          label="File from the phone"
          hint="on the phone: More, Unsent entries, Save unsent entries as a file"
          accept=".ndjson,.txt,application/x-ndjson"
          required
        />
        <button class="main">Take it in</button>
      </form>
      <p>
        <a href="/people/devices">All devices</a>
      </p>
    </Page>
  )
}

function Outcome({ c }: { c: Context<Env> }) {
  const count = (name: string) => {
    const text = c.req.query(name) ?? ''
    return /^\d{1,9}$/.test(text) ? Number(text) : null
  }
  const [recorded, known, aside] = [count('recorded'), count('known'), count('aside')]
  if (recorded === null || known === null || aside === null) return null
  return (
    <p class="saved" role="status">
      Recorded: {recorded}. Here before: {known}. Set aside or held: {aside}.
      {aside === 0 ? null : (
        <>
          {' '}
          <a href="/journal/aside">See what was set aside</a>
        </>
      )}
    </p>
  )
}
