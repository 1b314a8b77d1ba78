// Looks at a tag through a pinhole camera: flat or round a bundle, turned, tilted, near or far.
import type { Picture } from '../../../scanner/camera/picture.ts'
import { halfSize } from '../../../scanner/camera/picture.ts'
import { TEXELS_PER_MM } from './tag-texture.ts'
import type { TagTexture } from './tag-texture.ts'

/** Where the tag's middle is seen, and how the tag lies. */
export interface Pose {
  readonly xPx: number
  readonly yPx: number
  /** Pixels a millimetre where the tag's middle is. */
  readonly pxPerMm: number
  /** Turned in the picture's plane, in radians. */
  readonly turn: number
  /** Leant back by this much, in radians, about an axis in the tag's plane at `tiltAxis`. */
  readonly tilt: number
  readonly tiltAxis: number
  /** Radius of the bundle that the tag's length lies round; null when it lies flat. */
  readonly bundleRadiusMm: number | null
}

/** How light falls: a tag's black and white as the camera sees them, 0 to 255. */
export interface Light {
  readonly black: number
  readonly white: number
}

/** Focal length as a share of the picture's width: about 65 degrees across, as telephones have. */
const FOCAL_SHARE = 0.78
/** Samples a pixel and direction, so that edges come out as a sensor sees them. */
const SAMPLES = 2

type Vector = readonly [number, number, number]
type Matrix = readonly [Vector, Vector, Vector]

/** A picture while it is being made, in light before the sensor rounds it. */
export interface Scene {
  readonly width: number
  readonly height: number
  readonly light: Float32Array
}

/** Ink and shape of a tag, in steps of half the size for tags that are far away. */
export interface Prepared {
  readonly tag: TagTexture
  readonly inks: readonly Picture[]
  readonly shapes: readonly Picture[]
}

export function prepare(tag: TagTexture): Prepared {
  const inks = [tag.ink]
  const shapes = [tag.there]
  for (let step = 0; step < 3; step += 1) {
    const [ink, shape] = [inks.at(-1), shapes.at(-1)]
    if (ink === undefined || shape === undefined || ink.height < 16) break
    inks.push(halfSize(ink))
    shapes.push(halfSize(shape))
  }
  return { tag, inks, shapes }
}

/** Draws the tag over what the scene shows already. */
export function draw(scene: Scene, { tag, inks, shapes }: Prepared, pose: Pose, light: Light) {
  const focal = scene.width * FOCAL_SHARE
  const depth = focal / pose.pxPerMm
  const turn = rotation(pose)
  const place: Vector = [
    ((pose.xPx - scene.width / 2) / focal) * depth,
    ((pose.yPx - scene.height / 2) / focal) * depth,
    depth,
  ]
  const origin = turnedBack(turn, [-place[0], -place[1], -place[2]])
  const level = Math.max(
    0,
    Math.min(inks.length - 1, Math.round(Math.log2(TEXELS_PER_MM / pose.pxPerMm) - 0.5)),
  )
  const [ink, shape] = [inks[level], shapes[level]]
  if (ink === undefined || shape === undefined) return
  const texelsPerMm = TEXELS_PER_MM / 2 ** level
  const box = seenBox(scene, tag, pose, turn, place, focal)
  const hit = { x: 0, y: 0, facing: 1 }
  for (let y = box.top; y < box.bottom; y += 1) {
    for (let x = box.left; x < box.right; x += 1) {
      let sum = 0
      let cover = 0
      for (let nr = 0; nr < SAMPLES * SAMPLES; nr += 1) {
        const px = x + ((nr % SAMPLES) + 0.5) / SAMPLES
        const py = y + (Math.floor(nr / SAMPLES) + 0.5) / SAMPLES
        const ray = turnedBack(turn, [
          (px - scene.width / 2) / focal,
          (py - scene.height / 2) / focal,
          1,
        ])
        if (!meet(origin, ray, pose.bundleRadiusMm, hit)) continue
        const u = (hit.x + tag.middle.xMm) * texelsPerMm - 0.5
        const v = (hit.y + tag.middle.yMm) * texelsPerMm - 0.5
        const here = sample(shape, u, v, 0) / 255
        if (here === 0) continue
        const paper = sample(ink, u, v, 255) / 255
        cover += here
        sum += here * (light.black + (light.white - light.black) * paper) * hit.facing
      }
      const at = y * scene.width + x
      const share = cover / (SAMPLES * SAMPLES)
      scene.light[at] = (scene.light[at] ?? 0) * (1 - share) + sum / (SAMPLES * SAMPLES)
    }
  }
}

function rotation({ turn, tilt, tiltAxis }: Pose): Matrix {
  const axis: Vector = [Math.cos(tiltAxis), Math.sin(tiltAxis), 0]
  const [c, s] = [Math.cos(tilt), Math.sin(tilt)]
  // Rodrigues' formula for an axis without z, then the turn about the line of sight.
  const [a, b] = axis
  const lean: Matrix = [
    [c + a * a * (1 - c), a * b * (1 - c), b * s],
    [a * b * (1 - c), c + b * b * (1 - c), -a * s],
    [-b * s, a * s, c],
  ]
  const [ct, st] = [Math.cos(turn), Math.sin(turn)]
  const rowOf = (p: number, q: number): Vector => [
    p * lean[0][0] + q * lean[1][0],
    p * lean[0][1] + q * lean[1][1],
    p * lean[0][2] + q * lean[1][2],
  ]
  return [rowOf(ct, -st), rowOf(st, ct), lean[2]]
}

function turnedBack(m: Matrix, [x, y, z]: Vector): Vector {
  return [
    m[0][0] * x + m[1][0] * y + m[2][0] * z,
    m[0][1] * x + m[1][1] * y + m[2][1] * z,
    m[0][2] * x + m[1][2] * y + m[2][2] * z,
  ]
}

/** Where a ray meets the tag, in mm from its middle along its surface; false where it does not. */
function meet(
  o: Vector,
  d: Vector,
  radius: number | null,
  hit: { x: number; y: number; facing: number },
): boolean {
  if (radius === null) {
    const t = -o[2] / d[2]
    if (!(t > 0)) return false
    hit.x = o[0] + t * d[0]
    hit.y = o[1] + t * d[1]
    hit.facing = 1
    return true
  }
  const oz = o[2] - radius
  const a = d[0] * d[0] + d[2] * d[2]
  const b = o[0] * d[0] + oz * d[2]
  const c = o[0] * o[0] + oz * oz - radius * radius
  const root = b * b - a * c
  if (root < 0) return false
  const t = (-b - Math.sqrt(root)) / a
  if (!(t > 0)) return false
  const x = o[0] + t * d[0]
  const z = oz + t * d[2]
  hit.x = radius * Math.atan2(x, -z)
  hit.y = o[1] + t * d[1]
  // Light comes from where the camera is: surfaces that turn away are darker.
  hit.facing = 0.35 + 0.65 * Math.max(0, -z / radius)
  return true
}

function seenBox(
  scene: Scene,
  tag: TagTexture,
  pose: Pose,
  m: Matrix,
  place: Vector,
  focal: number,
): { left: number; right: number; top: number; bottom: number } {
  const xs: number[] = []
  const ys: number[] = []
  for (let along = -8; along <= 8; along += 1) {
    for (const side of [-0.5, 0.5]) {
      let x = (along / 16 + 0.5) * tag.widthMm - tag.middle.xMm
      let z = 0
      const y = (side + 0.5) * tag.heightMm - tag.middle.yMm
      if (pose.bundleRadiusMm !== null) {
        const angle = Math.max(-Math.PI / 2, Math.min(Math.PI / 2, x / pose.bundleRadiusMm))
        x = pose.bundleRadiusMm * Math.sin(angle)
        z = pose.bundleRadiusMm * (1 - Math.cos(angle))
      }
      const cx = m[0][0] * x + m[0][1] * y + m[0][2] * z + place[0]
      const cy = m[1][0] * x + m[1][1] * y + m[1][2] * z + place[1]
      const cz = m[2][0] * x + m[2][1] * y + m[2][2] * z + place[2]
      xs.push((cx / cz) * focal + scene.width / 2)
      ys.push((cy / cz) * focal + scene.height / 2)
    }
  }
  return {
    left: Math.max(0, Math.floor(Math.min(...xs)) - 2),
    right: Math.min(scene.width, Math.ceil(Math.max(...xs)) + 2),
    top: Math.max(0, Math.floor(Math.min(...ys)) - 2),
    bottom: Math.min(scene.height, Math.ceil(Math.max(...ys)) + 2),
  }
}

function sample({ width, height, grey }: Picture, u: number, v: number, outside: number): number {
  const left = Math.floor(u)
  const top = Math.floor(v)
  if (left < -1 || top < -1 || left >= width || top >= height) return outside
  const at = top * width + left
  const [x0, x1] = [left >= 0, left + 1 < width]
  const [y0, y1] = [top >= 0, top + 1 < height]
  const a = x0 && y0 ? (grey[at] ?? 0) : outside
  const b = x1 && y0 ? (grey[at + 1] ?? 0) : outside
  const c = x0 && y1 ? (grey[at + width] ?? 0) : outside
  const d = x1 && y1 ? (grey[at + width + 1] ?? 0) : outside
  const shareX = u - left
  const shareY = v - top
  return (a * (1 - shareX) + b * shareX) * (1 - shareY) + (c * (1 - shareX) + d * shareX) * shareY
}
