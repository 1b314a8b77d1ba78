// Drives the phone's inside in a page of a real browser, as screens would.
import type { BrowserContext, Page } from 'playwright-core'
import type {
  Draft,
  EnrolAnswer,
  Identity,
  Phone,
  Unsent,
  Written,
} from '../../../scanner/phone.ts'
import type { PhoneOffice } from './phone-office.ts'

/** What the page of `phone-page.ts` hangs on its global. */
export type PageGlobals = { phone: Phone; appVersion: string; enrolCode: string | null }

const personId = '019b5b7e-0000-7000-8000-00000000aaaa'

/** A fact that is quickly written and told apart by its number. */
export function blockDraft(nr: number): Draft {
  const blockId = `019b5b7e-0000-7000-8000-${String(nr).padStart(12, '0')}`
  return { kind: 'block.registered', body: { blockId, name: `Block ${nr}`, note: '' } }
}

export class PhoneDriver {
  readonly page: Page
  readonly #office: PhoneOffice

  constructor(page: Page, office: PhoneOffice) {
    this.page = page
    this.#office = office
  }

  /** Opens the app in a new tab of the browser. */
  static async open(context: BrowserContext, office: PhoneOffice): Promise<PhoneDriver> {
    const driver = new PhoneDriver(await context.newPage(), office)
    await driver.load()
    return driver
  }

  /** Loads the page and waits for the inside to be open. */
  async load(path = '/scanner/'): Promise<void> {
    await this.page.goto(`${this.#office.url}${path}`)
    await this.ready()
  }

  async ready(): Promise<void> {
    await this.page.waitForFunction(() => 'phone' in globalThis)
  }

  /** Enrols, has the office compare, and chooses a person. Returns the device's id. */
  async enrol(): Promise<string> {
    const answer = await this.enrolBy(await this.#office.code())
    if (answer.result !== 'enrolled') throw new Error(answer.result)
    const { deviceId } = answer.identity
    await this.#office.confirm(deviceId)
    await this.page.evaluate(
      (id) => (globalThis as unknown as PageGlobals).phone.change({ personId: id }),
      personId,
    )
    await this.sync()
    return deviceId
  }

  enrolBy(code: string): Promise<EnrolAnswer> {
    return this.page.evaluate(
      (given) => (globalThis as unknown as PageGlobals).phone.enrol(given),
      code,
    )
  }

  /** Writes one after the other; returns what was confirmed. */
  write(drafts: readonly Draft[]): Promise<Written[]> {
    return this.page.evaluate(async (given) => {
      const { phone } = globalThis as unknown as PageGlobals
      const written: Written[] = []
      for (const draft of given) written.push(await phone.write(draft))
      return written
    }, drafts)
  }

  async sync(): Promise<Unsent> {
    await this.page.evaluate(() => (globalThis as unknown as PageGlobals).phone.sync())
    return this.unsent()
  }

  unsent(): Promise<Unsent> {
    return this.page.evaluate(() => (globalThis as unknown as PageGlobals).phone.unsent)
  }

  identity(): Promise<Identity | null> {
    return this.page.evaluate(() => (globalThis as unknown as PageGlobals).phone.identity)
  }

  /** The lines of the file that a person carries to the office. */
  async exported(): Promise<string[]> {
    const text = await this.page.evaluate(async () => {
      const file = await (globalThis as unknown as PageGlobals).phone.exportUnsent()
      return file.text()
    })
    return text.split('\n').filter((line) => line !== '')
  }
}

/** Counters 1, 2, 3 … without a gap, as many as there are rows. */
export const gapless = (rows: readonly unknown[]) => rows.map((_, nr) => nr + 1)
