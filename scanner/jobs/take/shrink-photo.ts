// Makes a camera's photo small enough to be kept and sent from a field.

/** Longest side in pixels: enough to tell a growing bud from a dead one. */
const LONGEST_SIDE = 1600
const JPEG_QUALITY = 0.8

/**
 * The photo as JPEG of at most {@link LONGEST_SIDE} pixels a side, turned upright and without the
 * place and the camera that its file tells of; as it is where this browser cannot read it.
 */
export async function shrunkPhoto(photo: Blob): Promise<Blob> {
  try {
    const picture = await createImageBitmap(photo, { imageOrientation: 'from-image' })
    const scale = Math.min(1, LONGEST_SIDE / Math.max(picture.width, picture.height))
    const canvas = document.createElement('canvas')
    canvas.width = Math.max(1, Math.round(picture.width * scale))
    canvas.height = Math.max(1, Math.round(picture.height * scale))
    canvas.getContext('2d')?.drawImage(picture, 0, 0, canvas.width, canvas.height)
    picture.close()
    const small = await new Promise<Blob | null>((resolve) =>
      canvas.toBlob(resolve, 'image/jpeg', JPEG_QUALITY),
    )
    return small ?? photo
  } catch {
    return photo
  }
}
