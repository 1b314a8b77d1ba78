// Looks into the phone's store, whatever its version, for entries that are not at the server yet.

/** True also when that cannot be found out: then nothing is changed. */
export async function hasUnsent(storeName: string): Promise<boolean> {
  try {
    const db = await openAsItIs(storeName)
    if (db === null) return false
    try {
      return await countsUnsent(db)
    } finally {
      db.close()
    }
  } catch {
    return true
  }
}

/** The database in its own version; null when there is none, and none is made. */
function openAsItIs(storeName: string): Promise<IDBDatabase | null> {
  return new Promise((resolve, reject) => {
    const request = indexedDB.open(storeName)
    let isNew = false
    request.onupgradeneeded = () => {
      isNew = true
      request.transaction?.abort()
    }
    request.onsuccess = () => resolve(request.result)
    request.onerror = () => (isNew ? resolve(null) : reject(asError(request.error)))
  })
}

function countsUnsent(db: IDBDatabase): Promise<boolean> {
  if (!db.objectStoreNames.contains('entry')) return Promise.resolve(false)
  return new Promise((resolve, reject) => {
    const index = db.transaction('entry').objectStore('entry').index('state')
    const request = index.count(IDBKeyRange.bound(['unsent'], ['unsent', []]))
    request.onsuccess = () => resolve(request.result > 0)
    request.onerror = () => reject(asError(request.error))
  })
}

const asError = (error: DOMException | null) => error ?? new Error('the store did not answer')
