// Has Graphviz place the signs and arrows of a lineage; only sizes and numbers go in and out.
import { instance, type Graph, type Viz } from '@viz-js/viz'
import { z } from 'zod'
import type { Point } from './block-map-signs.ts'

/** The size of a sign, in SVG units. */
export interface Size {
  width: number
  height: number
}

/** An arrow between two signs, by their indices, each pair once; `labelSize` keeps room. */
export interface ArrowRequest {
  from: number
  to: number
  labelSize: Size | null
}

export interface PlacedArrow {
  /** Start, then control points and end of each cubic Bézier curve. */
  curve: Point[]
  /** Where the arrow's tip is. */
  tip: Point
  /** Middle of the label. */
  label: Point | null
}

export interface Placement {
  width: number
  height: number
  /** Middles of the signs. */
  signs: Point[]
  arrows: PlacedArrow[]
}

/**
 * Places signs from left to right along the arrows with Graphviz's layered layout (dot). All
 * numbers are SVG units, y downwards.
 *
 * @throws Error when Graphviz fails
 */
export async function placeLineage(
  signs: readonly Size[],
  arrows: readonly ArrowRequest[],
): Promise<Placement> {
  const viz = await graphviz()
  let output: string
  try {
    const result = viz.render(request(signs, arrows), {
      format: 'json0',
      engine: 'dot',
      yInvert: true,
    })
    if (result.status === 'failure') {
      throw new Error(result.errors.map((error) => error.message).join('; '))
    }
    output = result.output
  } catch (error) {
    // A crash leaves the WebAssembly memory in an unknown state: begin afresh next time.
    running = null
    throw new Error('Graphviz could not place the lineage', { cause: error })
  }
  return readPlacement(Layout.parse(JSON.parse(output)), signs.length, arrows)
}

let running: Promise<Viz> | null = null

function graphviz(): Promise<Viz> {
  running ??= instance()
  return running
}

const POINTS_PER_INCH = 72

function request(signs: readonly Size[], arrows: readonly ArrowRequest[]): Graph {
  return {
    directed: true,
    graphAttributes: { rankdir: 'LR', nodesep: 0.22, ranksep: 0.42, pad: 0 },
    nodeAttributes: { shape: 'box', fixedsize: true, label: '' },
    edgeAttributes: { arrowsize: 0.7 },
    nodes: signs.map((size, index) => ({
      name: `s${index}`,
      attributes: {
        width: size.width / POINTS_PER_INCH,
        height: size.height / POINTS_PER_INCH,
      },
    })),
    edges: arrows.map(({ from, to, labelSize }) => ({
      tail: `s${from}`,
      head: `s${to}`,
      attributes: labelSize === null ? {} : { label: { html: spaceHolder(labelSize) } },
    })),
  }
}

function spaceHolder({ width, height }: Size): string {
  const size = `width="${Math.ceil(width)}" height="${Math.ceil(height)}"`
  return `<table border="0" fixedsize="true" ${size}><tr><td></td></tr></table>`
}

const Layout = z.object({
  bb: z.string(),
  objects: z.array(z.object({ _gvid: z.int(), name: z.string(), pos: z.string() })).default([]),
  edges: z
    .array(z.object({ tail: z.int(), head: z.int(), pos: z.string(), lp: z.string().optional() }))
    .default([]),
})

function readPlacement(
  layout: z.infer<typeof Layout>,
  signCount: number,
  arrows: readonly ArrowRequest[],
): Placement {
  const [left = 0, firstY = 0, right = 0, secondY = 0] = numbers(layout.bb)
  const top = Math.min(firstY, secondY)
  const toPoint = (text: string): Point => {
    const [x = 0, y = 0] = numbers(text)
    return { x: rounded(x - left), y: rounded(y - top) }
  }
  // Graphviz answers in an order of its own.
  const nameOf = new Map(layout.objects.map((object) => [object._gvid, object.name]))
  const signAt = new Map(layout.objects.map((object) => [object.name, toPoint(object.pos)]))
  const arrowAt = new Map(
    layout.edges.map((edge) => [
      `${nameOf.get(edge.tail)} ${nameOf.get(edge.head)}`,
      readArrow(edge.pos, edge.lp, toPoint),
    ]),
  )
  return {
    width: Math.ceil(right - left),
    height: Math.ceil(Math.abs(secondY - firstY)),
    signs: Array.from({ length: signCount }, (_, index) => found(signAt.get(`s${index}`))),
    arrows: arrows.map(({ from, to }) => found(arrowAt.get(`s${from} s${to}`))),
  }
}

function found<Placed>(placed: Placed | undefined): Placed {
  if (placed === undefined) throw new Error('Graphviz left a sign or an arrow without a place')
  return placed
}

// Graphviz writes “e,x,y” for the tip, then the points of the curve.
function readArrow(
  pos: string,
  labelAt: string | undefined,
  toPoint: (text: string) => Point,
): PlacedArrow {
  const parts = pos.split(' ').filter((part) => part !== '')
  const tip = parts.find((part) => part.startsWith('e,'))
  const curve = parts.filter((part) => /^[-\d.]/.test(part)).map(toPoint)
  const last = curve.at(-1)
  if (last === undefined) throw new Error('Graphviz placed an arrow without a curve')
  return {
    curve,
    tip: tip === undefined ? last : toPoint(tip.slice(2)),
    label: labelAt === undefined ? null : toPoint(labelAt),
  }
}

function numbers(text: string): number[] {
  return text.split(',').map(Number)
}

function rounded(number: number): number {
  return Math.round(number * 10) / 10
}
