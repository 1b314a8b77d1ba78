// The list of findings begins with what must be answered, and says once what several mean.
import { afterAll, beforeAll, expect, it } from 'vitest'
import { settleFindings } from '../../api/journal/settle.ts'
import { htmlProblems } from '../browser/html-problems.ts'
import { officeApp } from '../office-app.ts'
import type { OfficeApp } from '../office-app.ts'
import { RecallScene } from '../trace/recall-scene.ts'
import { pageAt, plainText } from './form-answers.ts'

let office: OfficeApp
beforeAll(async () => {
  office = await officeApp()
  const scene = new RecallScene('findings')
  for (const name of ['first', 'second']) {
    scene.source(name)
    scene.cut(`27-${name}`, name)
    scene.test(name, '2027-05-01', 'detected', 'GLRaV-3')
  }
  await scene.record(office.services.db)
  await settleFindings(office.services.db)
})
afterAll(() => office.drop())

it('puts what must be answered before what is to be looked at, whatever the code', async () => {
  const page = await pageAt(office, '/findings')
  expect(htmlProblems(page)).toEqual([])
  const severities = [...page.matchAll(/<strong>(must answer|look at):<\/strong>/g)].map(
    ([, severity]) => severity,
  )
  expect(new Set(severities)).toEqual(new Set(['must answer', 'look at']))
  expect(severities.lastIndexOf('must answer')).toBeLessThan(severities.indexOf('look at'))
})

it('says once what findings of one code mean, and offers an answer to each', async () => {
  const page = await pageAt(office, '/findings')
  const title = 'A source tested positive after wood was cut from it'
  expect(page.split(title)).toHaveLength(2)
  const section = page.slice(page.indexOf(title)).split('</section>')[0] ?? ''
  expect(section.match(/href="\/findings\/[^"]+"/g)).toHaveLength(2)
  expect(plainText(section)).toContain('27-first')
  expect(plainText(section)).toContain('27-second')
})
