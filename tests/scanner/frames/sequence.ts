// Makes short sequences of camera frames of our own tags, each with one fault, by seed alone.
import { makeTagCode } from '../../../api/trade/tag-code.ts'
import type { Picture } from '../../../scanner/camera/picture.ts'
import { EXAMPLE_HOST, EXAMPLE_PARTICULARS } from '../../labels/examples.ts'
import { seeded } from '../../sim/entry-writer.ts'
import { FAULTS, conditionsOf } from './faults.ts'
import type { Conditions, Fault } from './faults.ts'
import { background, defocus, expose, glare, shade, smear } from './lens.ts'
import { paintTag, tagRequest } from './tag-texture.ts'
import type { TagTexture } from './tag-texture.ts'
import { draw, prepare } from './view.ts'
import type { Pose, Prepared, Scene } from './view.ts'
import { wear } from './wear.ts'

export interface Sequence {
  /** What the symbols in view hold: one payload, or two with a neighbouring tag. */
  readonly payloads: readonly string[]
  readonly frames: readonly Picture[]
}

export interface SequenceOrder {
  readonly fault: Fault
  /** 0 for a clean tag, 1 to 5. */
  readonly level: number
  readonly nr: number
  readonly frameCount: number
  readonly width: number
  readonly height: number
}

/** Forms in turn: three copies, two copies, one copy with an address. */
const FORMS = ['roll-100x25', 'roll-50x25', 'roll-100x70'] as const

/** The same order gives the same pixels, on any machine. */
export function makeSequence(order: SequenceOrder): Sequence {
  const { fault, level, nr } = order
  const random = seeded(1 + nr + 1000 * level + 10_000 * FAULTS.indexOf(fault))
  const conditions = conditionsOf(fault, level)
  // Of two tags the first is a small one, so that it hides nothing of the other.
  const tag = newTag(conditions.neighbour > 0 ? nr % 2 : nr, random)
  const other = conditions.neighbour > 0 ? newTag(nr + 1, random) : null
  return film(tag, other, conditions, order, random)
}

/** Frames of one tag, or of two of which the second lies below the first. */
export function film(
  tag: TagTexture,
  other: TagTexture | null,
  conditions: Conditions,
  { frameCount, width, height }: Pick<SequenceOrder, 'frameCount' | 'width' | 'height'>,
  random: () => number,
): Sequence {
  wear(tag, conditions.wear, random)
  const view: View = {
    conditions,
    tag: prepare(tag),
    other: other === null ? null : prepare(other),
    ground: background(width, height, random),
    base: basePose(conditions, tag, [width, height], random),
    shadowWay: random() * 2 * Math.PI,
    ...{ width, height },
  }
  const frames = Array.from({ length: frameCount }, () => takeFrame(view, random))
  return { payloads: [tag, ...(other === null ? [] : [other])].map((one) => one.payload), frames }
}

interface View {
  readonly conditions: Conditions
  readonly tag: Prepared
  readonly other: Prepared | null
  readonly ground: Float32Array
  readonly base: Pose
  readonly shadowWay: number
  readonly width: number
  readonly height: number
}

/** A new tag of one of the forms, with a code of its own. */
export function newTag(nr: number, random: () => number): TagTexture {
  const form = FORMS[nr % FORMS.length] ?? 'roll-100x25'
  const code = makeTagCode((byteCount) =>
    Uint8Array.from({ length: byteCount }, () => Math.floor(random() * 256)),
  )
  const label =
    form === 'roll-100x70'
      ? {
          kind: 'leaving label' as const,
          code,
          host: EXAMPLE_HOST,
          particulars: EXAMPLE_PARTICULARS,
        }
      : { kind: 'field tag' as const, code, lines: ['Lot 26-014', 'Valdorena', '200 sticks'] }
  return paintTag(tagRequest(label, form), random)
}

function basePose(
  conditions: Conditions,
  tag: TagTexture,
  [width, height]: readonly [number, number],
  random: () => number,
): Pose {
  // Frames smaller than 1280 across show the same tag with fewer pixels around it, not smaller.
  const isBeside = conditions.neighbour > 0
  return {
    xPx: width / 2 + (random() - 0.5) * 60,
    yPx: height * (isBeside ? 0.32 : 0.5) + (random() - 0.5) * 40,
    pxPerMm: conditions.pxPerModule / tag.moduleMm,
    turn: (random() - 0.5) * (isBeside ? 0.3 : 1.2) + (random() < 0.25 ? Math.PI : 0),
    tilt: (conditions.tiltDegrees * Math.PI) / 180,
    tiltAxis: random() * 2 * Math.PI,
    bundleRadiusMm: conditions.bundleDiameterMm === null ? null : conditions.bundleDiameterMm / 2,
  }
}

/** One frame: the hand has moved a little, light and focus wander, noise is new. */
function takeFrame(view: View, random: () => number): Picture {
  const { conditions, width, height } = view
  const around = (size: number) => (random() - 0.5) * 2 * size
  const scene: Scene = { width, height, light: view.ground.slice() }
  const pose: Pose = {
    ...view.base,
    xPx: view.base.xPx + around(14),
    yPx: view.base.yPx + around(10),
    pxPerMm: view.base.pxPerMm * (1 + around(0.04)),
    turn: view.base.turn + around(0.03),
    tilt: view.base.tilt + around(0.04),
  }
  const light = { black: conditions.black, white: conditions.white }
  if (view.other !== null) draw(scene, view.other, besidePose(view, pose), light)
  draw(scene, view.tag, pose, light)
  const modulePx = conditions.pxPerModule
  const sidePx = (view.tag.tag.symbols[0]?.sideMm ?? 0) * pose.pxPerMm
  if (conditions.shadow > 0) {
    const edge = [pose.xPx + around(sidePx * 0.3), pose.yPx + around(sidePx * 0.3)] as const
    shade(scene, edge, view.shadowWay + around(0.1), conditions.shadow, modulePx)
  }
  if (conditions.glare > 0) {
    const spot = [pose.xPx + around(sidePx * 0.8), pose.yPx + around(sidePx * 0.4)] as const
    glare(scene, spot, conditions.glareSides * sidePx, conditions.glare)
  }
  defocus(scene, conditions.defocusModules * modulePx * (1 + around(0.35)))
  smear(scene, conditions.motionModules * modulePx * (1 + around(0.5)), random() * Math.PI)
  return expose(scene, conditions.noise, random)
}

/** The neighbour lies below the first tag, clear of it. */
function besidePose({ conditions, tag, other, height }: View, pose: Pose): Pose {
  const size = pose.pxPerMm * (tag.tag.moduleMm / (other?.tag.moduleMm ?? 1)) * conditions.neighbour
  return { ...pose, yPx: pose.yPx + height * 0.36, pxPerMm: size, turn: -pose.turn * 0.5 }
}
