// The one error type of the embedded database: a code for code, words for the person.

/** Why the embedded database could not be opened. */
export type EmbeddedErrorCode =
  | 'folder_name'
  | 'folder_not_writable'
  | 'folder_not_passable'
  | 'folder_not_ours'
  | 'folder_in_use'
  | 'other_major_version'
  | 'disk_full'
  | 'port_taken'
  | 'engine_missing'
  | 'engine_not_runnable'
  | 'server_account'
  | 'secrets_unreadable'
  | 'server_still_running'
  | 'server_failed'
  | 'initialise_failed'

/** A refusal by the embedded database. The message says what, where and how to mend it. */
export class EmbeddedDatabaseError extends Error {
  readonly code: EmbeddedErrorCode

  constructor(code: EmbeddedErrorCode, message: string, options?: ErrorOptions) {
    super(message, options)
    this.name = 'EmbeddedDatabaseError'
    this.code = code
  }
}

/** The system's code of a failed call (`ENOENT`, `EACCES`, …), or '' when there is none. */
export function systemCode(error: unknown): string {
  if (!(error instanceof Error) || !('code' in error)) return ''
  return typeof error.code === 'string' ? error.code : ''
}

/** Turns a failed write below `folder` into words; an error that is already in words stays. */
export function inWords(error: unknown, folder: string): unknown {
  if (error instanceof EmbeddedDatabaseError) return error
  const code = systemCode(error)
  if (code === 'ENOSPC' || code === 'EDQUOT') return diskFull(folder, error)
  if (code === 'EACCES' || code === 'EPERM' || code === 'EROFS') {
    return new EmbeddedDatabaseError(
      'folder_not_writable',
      `Canemark may not write in its data folder ${folder} (${String(error)}). ` +
        `Give the folder to the user who starts Canemark, or name another with CANEMARK_DATA.`,
      { cause: error },
    )
  }
  return error
}

/** The refusal for a full disk. What was half made has been removed or is removed next time. */
export function diskFull(folder: string, cause?: unknown): EmbeddedDatabaseError {
  return new EmbeddedDatabaseError(
    'disk_full',
    `The disk that holds the data folder ${folder} is full. Nothing that was recorded is lost. ` +
      `Free some space (a first start needs about 200 MB) and start Canemark again.`,
    { cause },
  )
}
