// Checks the HTML that the server sends, as text, without a browser.
import { HtmlValidate, StaticConfigLoader } from 'html-validate'

const validator = new HtmlValidate(
  new StaticConfigLoader({
    root: true,
    extends: ['html-validate:standard', 'html-validate:a11y', 'html-validate:document'],
    rules: {
      'no-inline-style': 'error',
      'no-implicit-close': 'error',
      // A button without a type submits its form, as the standard says.
      'no-implicit-button-type': 'off',
      // Everything is served from the same origin.
      'require-sri': 'off',
    },
  }),
)

/**
 * What is wrong with a whole HTML page, one line a problem with its place; empty when it is valid.
 * The rules are html-validate's presets `standard` (the HTML Living Standard), `a11y` and
 * `document`.
 */
export function htmlProblems(html: string): string[] {
  const report = validator.validateStringSync(html)
  return report.results.flatMap((result) =>
    result.messages.map(
      ({ ruleId, message, line, column, selector }) =>
        `${line}:${column} ${ruleId}: ${message}${selector === null ? '' : ` (${selector})`}`,
    ),
  )
}
