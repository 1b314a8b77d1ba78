// What the service worker and the page share: names, messages, and who may change over when.

/** Where the app lives; the worker sees to nothing outside. */
export const SCOPE = '/scanner/'
/** Caches of one version each begin so; the version follows. */
export const CACHE_PREFIX = 'canemark app '
/** Holds which version is shown, as a response's text under `PIN_KEY`. */
export const PIN_CACHE = 'canemark shown'
export const PIN_KEY = `${SCOPE}shown-version`

/**
 * Sent by a page to the worker that waits, with a port: show your version as soon as nothing is
 * being written. It answers through the port once the page can load it.
 */
export const TAKE_OVER = 'take over'
