// The recipe in docs/dossier.md, run as it stands by Python and openssl, tells right from wrong.
import { spawnSync } from 'node:child_process'
import { mkdtemp, readFile, rm, writeFile } from 'node:fs/promises'
import { tmpdir } from 'node:os'
import path from 'node:path'
import { afterAll, beforeAll, expect, it } from 'vitest'
import type { TestContext } from 'vitest'
import type { MadeDossier } from '../../api/dossier/make.ts'
import { requireTool } from '../tools.ts'
import { smallOffice, someLot } from './dossier-office.ts'
import type { DossierOffice } from './dossier-office.ts'
import { changeByte, middleEntry, withContent } from './tampered.ts'

let office: DossierOffice
let folder: string
let made: MadeDossier

beforeAll(async () => {
  office = await smallOffice('vines.example/journal')
  folder = await mkdtemp(path.join(tmpdir(), 'canemark-recipe-'))
  made = await office.make(await someLot(office))
  const doc = await readFile(new URL('../../docs/dossier.md', import.meta.url), 'utf8')
  const [, recipe = ''] = /```python\n([^]*?)```/.exec(doc) ?? []
  expect(recipe.split('\n').filter((line) => line !== '').length).toBeLessThanOrEqual(60)
  await writeFile(path.join(folder, 'check.py'), recipe)
  await writeFile(path.join(folder, 'dossier.pdf'), made.pdf)
})
afterAll(async () => {
  await office.drop()
  await rm(folder, { recursive: true, force: true })
})

const key = () => made.content.proof.keys[0]?.key ?? ''

async function run(context: TestContext, json: string | Buffer, ...more: string[]) {
  requireTool(context, 'python3', 'openssl')
  const file = path.join(folder, 'dossier.json')
  await writeFile(file, json)
  const ran = spawnSync('python3', ['check.py', file, ...more], { cwd: folder, encoding: 'utf8' })
  return ran.status === 0 ? ran.stdout : ran.stderr
}

it('a dossier with its key and its PDF is right', async (context) => {
  const said = await run(context, made.json, key(), 'dossier.pdf')
  expect(said).toMatch(new RegExp(`^RIGHT: ${made.entries} entries of ${made.size}, signed by `))
})

it('one byte of an entry is told by its index', async (context) => {
  const { index } = middleEntry(made.content)
  const changed = withContent(made.json, (content) => changeByte(middleEntry(content)))
  expect(await run(context, changed)).toContain(`entry ${index} does not lead to the signed root`)
})

it('a changed answer, checkpoint, proof, key or PDF is told', async (context) => {
  const changed = (change: Parameters<typeof withContent>[1]) => withContent(made.json, change)
  const answer = changed(({ rules }) => rules.forEach((rule) => (rule.result = 'holds')))
  expect(await run(context, answer)).toContain(
    'tables or names were changed after they were sealed',
  )
  const size = changed(({ proof }) => {
    proof.checkpoint = proof.checkpoint.replace(`\n${made.size}\n`, `\n${made.size + 1}\n`)
  })
  expect(await run(context, size)).toContain('the checkpoint is not signed by')
  const short = changed((content) => void middleEntry(content).path.pop())
  expect(await run(context, short)).toContain('does not lead to the signed root')
  const other = `${key().slice(0, -1)}A`
  expect(await run(context, made.json, other)).toContain('not by the key given')
  await writeFile(path.join(folder, 'other.pdf'), Buffer.concat([made.pdf, Buffer.from('\n')]))
  expect(await run(context, made.json, key(), 'other.pdf')).toContain('the PDF is not the one')
})
