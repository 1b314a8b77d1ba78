// Drives the office's forms in a real browser the way a person does, by names and buttons.
import type { Locator, Page } from 'playwright-core'

/** A page of the office, with the few moves that filling in its forms takes. */
export class DeskDriver {
  readonly page: Page
  private readonly address: string

  constructor(page: Page, address: string) {
    this.page = page
    this.address = address
  }

  /** Opens a path of the site. */
  async open(path: string): Promise<void> {
    await this.page.goto(`${this.address}${path}`)
  }

  /**
   * Fills in fields by name and sends the form that holds them with its button `button`. In a
   * select, the first option whose words contain the text is chosen.
   */
  async send(fields: Record<string, string>, button: RegExp): Promise<void> {
    for (const [name, value] of Object.entries(fields)) await this.fill(name, value)
    await this.press(this.page.getByRole('main').getByRole('button', { name: button }).first())
    const problems = this.page.locator('.problems')
    if ((await problems.count()) > 0) {
      throw new Error(`${this.page.url()}: ${await problems.innerText()}`)
    }
  }

  /** Clicks what leads to another page, and waits until that page is there. */
  private async press(target: Locator): Promise<void> {
    await Promise.all([this.page.waitForEvent('load'), target.click()])
  }

  private async fill(name: string, value: string): Promise<void> {
    const field = this.page.locator(`main [name="${name}"]`).first()
    const tag = await field.evaluate((element) => element.tagName)
    if (tag !== 'SELECT') return field.fill(value)
    const options = await field.locator('option').allInnerTexts()
    const index = options.findIndex((text) => text.includes(value))
    if (index < 0) throw new Error(`${name} offers no “${value}”, but: ${options.join(' | ')}`)
    await field.selectOption({ index })
  }

  /** Ticks every box of this name. */
  async tickAll(name: string): Promise<void> {
    for (const box of await this.page.locator(`main input[name="${name}"]`).all()) {
      if ((await box.getAttribute('type')) === 'checkbox') await box.check()
    }
  }

  /** Gives a file to the page's file field. */
  async chooseFile(name: string, buffer: Buffer): Promise<void> {
    const file = { name, mimeType: 'text/csv', buffer }
    await this.page.locator('main input[type=file]').setInputFiles(file)
  }

  /** Fetches what a link leads to, as this person. */
  async download(words: RegExp): Promise<Buffer> {
    const link = this.page.getByRole('main').getByRole('link', { name: words }).first()
    const href = (await link.getAttribute('href')) ?? ''
    const response = await this.page.request.get(new URL(href, this.page.url()).href)
    return response.body()
  }

  /** The path of the page that is open, without its question. */
  path(): string {
    return new URL(this.page.url()).pathname
  }

  /** Follows the first link or button-like link with these words. */
  async follow(words: string | RegExp): Promise<void> {
    const options = typeof words === 'string' ? { name: words, exact: true } : { name: words }
    await this.press(this.page.getByRole('main').getByRole('link', options).first())
  }

  /** Types into the search at the top of every page, and waits for what is found. */
  async find(text: string): Promise<void> {
    const header = this.page.getByRole('banner')
    await header.getByLabel('Tag, lot or vine').fill(text)
    await this.press(header.getByRole('button', { name: 'Find' }))
  }

  /** The words of the page. */
  words(): Promise<string> {
    return this.page.getByRole('main').innerText()
  }

  /** A picture of the page for docs/, when CANEMARK_PICTURES names a folder. */
  async picture(name: string): Promise<void> {
    const folder = process.env.CANEMARK_PICTURES
    if (folder === undefined || folder === '') return
    await this.page.screenshot({ path: `${folder}/${name}.png` })
  }
}
