// The photos that phones sent of a vine, and each of them as a picture.
import type { Context } from 'hono'
import { readPhoto } from '../../grafting/photos.ts'
import type { PhotoLine } from '../../grafting/photos.ts'
import type { Env } from '../../platform/services.ts'
import { found, pathId, pathPosition } from '../path-id.ts'
import { shownTime } from '../times.ts'

/** The photos of a vine, the latest first; nothing when there is none. */
export function VinePhotos(props: {
  photos: readonly PhotoLine[]
  rowId: string
  position: number
  zone: string
}) {
  const { photos, rowId, position, zone } = props
  if (photos.length === 0) return null
  return (
    <section>
      <h2>Photos</h2>
      {photos.map((photo) => {
        const path = `/blocks/vines/${rowId}/${position}/photos/${photo.sha256}`
        const when = shownTime(photo.occurred_at, zone)
        return (
          <figure>
            <a href={path}>
              <img src={path} alt={`Vine ${position}, ${when}`} width="320" loading="lazy" />
            </a>
            <figcaption>
              {when}, beside its <a href={`/journal/${photo.entry_id}`}>entry</a>
            </figcaption>
          </figure>
        )
      })}
    </section>
  )
}

/** One photo, as it was sent. Its bytes never change, for its address is their hash. */
export async function showPhoto(c: Context<Env>): Promise<Response> {
  const vine = { rowId: pathId(c, 'rowId', 'row'), position: pathPosition(c, 'position') }
  const sha256 = c.req.param('sha256') ?? ''
  const isHash = /^[0-9a-f]{64}$/.test(sha256)
  const photo = isHash ? await readPhoto(c.get('services').db, vine, sha256) : null
  const { type, bytes } = found(photo, 'photo')
  const headers = { 'content-type': type, 'x-content-type-options': 'nosniff' }
  return c.body(new Uint8Array(bytes), 200, headers)
}
