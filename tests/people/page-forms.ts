// Reads the links and forms of a page as a browser would, so that a test can walk and fill them.
import { parse } from 'parse5'
import type { DefaultTreeAdapterTypes } from 'parse5'

type Node = DefaultTreeAdapterTypes.Node
type Element = DefaultTreeAdapterTypes.Element

/** One form: where it is sent, what stands in it, and which of its fields take free text. */
export type PageForm = {
  action: string
  isPost: boolean
  isFile: boolean
  fields: [string, string][]
  textFields: string[]
}

/** The local addresses that a page links to, and its forms; `at` is the page's own address. */
export function readPage(html: string, at: string): { links: string[]; forms: PageForm[] } {
  const document = parse(html)
  const links = all(document, 'a').flatMap((link) => {
    const href = attribute(link, 'href')
    return href === null || href.startsWith('#') ? [] : [local(href, at)]
  })
  return {
    links: links.filter((link) => link !== ''),
    forms: all(document, 'form').map((form) => readForm(form, at)),
  }
}

/** The elements that scripts or handlers could run from; a page of ours has none inline. */
export function inlineScripts(html: string): string[] {
  const elements = all(parse(html), null)
  return elements.flatMap((element) => {
    const handlers = element.attrs.filter(({ name }) => name.startsWith('on'))
    const isInline = element.tagName === 'script' && attribute(element, 'src') === null
    return isInline ? ['script'] : handlers.map(({ name }) => `${element.tagName} ${name}`)
  })
}

const freeTypes = [null, 'text', 'search', 'email', 'url', 'tel']

function readForm(form: Element, at: string): PageForm {
  const read: PageForm = {
    action: local(attribute(form, 'action') ?? at, at),
    isPost: attribute(form, 'method')?.toLowerCase() === 'post',
    isFile: attribute(form, 'enctype') === 'multipart/form-data',
    fields: [],
    textFields: [],
  }
  for (const element of all(form, null)) {
    const name = attribute(element, 'name')
    if (name === null) continue
    const type = attribute(element, 'type')
    const value = valueOf(element, type)
    if (value === null) continue
    const isText = element.tagName === 'textarea' || element.tagName === 'input'
    if (isText && (element.tagName === 'textarea' || freeTypes.includes(type))) {
      read.textFields.push(name)
    }
    read.fields.push([name, value])
  }
  return read
}

/** What a field would send; null for what sends nothing. */
function valueOf(element: Element, type: string | null): string | null {
  if (element.tagName === 'select') {
    const values = all(element, 'option').map((option) => attribute(option, 'value') ?? '')
    return values.find((value) => value !== '') ?? ''
  }
  if (element.tagName === 'button') return attribute(element, 'value')
  if (element.tagName === 'textarea') return ''
  if (element.tagName !== 'input' || type === 'file') return null
  return attribute(element, 'value') ?? (type === 'number' ? '1' : '')
}

function local(href: string, at: string): string {
  const url = new URL(href, `http://localhost${at}`)
  return url.origin === 'http://localhost' ? url.pathname + url.search : ''
}

function attribute(element: Element, name: string): string | null {
  return element.attrs.find((one) => one.name === name)?.value ?? null
}

function all(node: Node, tagName: string | null): Element[] {
  const children = 'childNodes' in node ? node.childNodes : []
  return children.flatMap((child) => {
    if (!('tagName' in child)) return []
    return [
      ...(tagName === null || child.tagName === tagName ? [child] : []),
      ...all(child, tagName),
    ]
  })
}
