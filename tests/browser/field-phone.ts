// Drives the phone app the way a gloved person does: by the words on its buttons, tag by tag.
import type { Page } from 'playwright-core'
import type { Language } from '../../scanner/phone.ts'
import { say } from '../../scanner/words/say.ts'
import type { Fill, WordKey } from '../../scanner/words/say.ts'
import { GRAFTER } from './field-office.ts'
import type { FieldOffice } from './field-office.ts'

export class FieldPhone {
  readonly page: Page
  readonly language: Language
  readonly #office: FieldOffice

  constructor(page: Page, office: FieldOffice, language: Language = 'en') {
    this.page = page
    this.#office = office
    this.language = language
  }

  words<K extends WordKey>(key: K, ...fill: Fill<K>): string {
    return say(this.language, key, ...fill)
  }

  async open(): Promise<void> {
    await this.page.goto(`${this.#office.url}/scanner/`)
  }

  /** First start, enrolment, the office's word, the person: until a tag can be scanned. */
  async enrol(): Promise<void> {
    await this.open()
    await this.pressText(this.language === 'es' ? 'Español' : 'English')
    for (let step = 0; step < 3; step++) await this.press('part.next')
    await this.page.locator('input.code').fill(await this.#office.enrolCode('Phone of crew 1'))
    await this.press('enrol.send')
    await this.see('waiting.title')
    await this.#office.letIn()
    await this.press('waiting.again')
    await this.pressText(GRAFTER)
    await this.atScan()
  }

  /** Presses the button that begins with these words. */
  async press<K extends WordKey>(key: K, ...fill: Fill<K>): Promise<void> {
    await this.pressText(this.words(key, ...fill))
  }

  async pressText(words: string): Promise<void> {
    const begins = new RegExp(`^(\\S )?${escaped(words)}`)
    await this.page.getByRole('button', { name: begins }).first().click()
  }

  /** Presses digits on the pad. */
  async type(number: number): Promise<void> {
    for (const digit of String(number)) {
      await this.page.locator('.pad').getByRole('button', { name: digit, exact: true }).click()
    }
  }

  /** Reads a tag by its code, typed: what a camera reads goes the same way. */
  async scan(text: string): Promise<void> {
    const line = this.page.locator('input.code').last()
    await line.fill(text)
    await line.press('Enter')
  }

  /** Waits for words anywhere on the screen. */
  async see<K extends WordKey>(key: K, ...fill: Fill<K>): Promise<void> {
    await this.seeText(this.words(key, ...fill))
  }

  async seeText(words: string): Promise<void> {
    await this.page.getByText(words).first().waitFor()
  }

  /** Waits for the screen that every job is begun from. */
  async atScan(): Promise<void> {
    await this.see('scan.without')
  }

  /** Waits for the vine of this number to stand in front. */
  async atVine(number: number): Promise<void> {
    await this.page.locator('.vine-number', { hasText: new RegExp(`^${number}$`) }).waitFor()
  }

  /** Waits until the strip says that everything has been sent. */
  async allSent(): Promise<void> {
    await this.page.locator('.strip', { hasText: this.words('strip.allSent') }).waitFor()
  }
}

function escaped(text: string): string {
  return text.replace(/[.*+?^${}()|[\]\\]/g, '\\$&')
}
