// Cuts parts with a plane: closed outlines of every cut face, and the triangles that fill them.
//
// Every part is closed, so each outline closes too. A vertex that lies in the plane counts as lying on its
// far side; then every cut edge is crossed exactly once and outlines are linked by edges, never by nearness.

import { ShapeUtils, Vector2 } from "three";
import type { Model, Point } from "./model";

export interface Plane {
  /** Points out of what is kept. */
  normal: Point;
  /** Of the plane along its normal. [mm] */
  at: number;
}

export interface CutFace {
  part: number;
  /** Closed rings, each x, y, z after x, y, z. [mm] */
  rings: number[][];
  /** The same in the plane's own two axes. */
  flat: Vector2[][];
  /** Three points for each triangle. [mm] */
  triangles: number[];
}

export const dot = (a: Point, b: Point): number => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];

export const cross = (a: Point, b: Point): Point => [
  a[1] * b[2] - a[2] * b[1],
  a[2] * b[0] - a[0] * b[2],
  a[0] * b[1] - a[1] * b[0],
];

/** Two axes in the plane; seen against the normal the second lies to the left of the first. */
export function axesOf(normal: Point): [Point, Point] {
  const up: Point = Math.abs(normal[1]) > 0.9 ? [0, 0, -1] : [0, 1, 0];
  const u = cross(up, normal);
  const size = Math.hypot(...u);
  const unit: Point = [u[0] / size, u[1] / size, u[2] / size];
  return [unit, cross(normal, unit)];
}

export function cutParts(model: Model, plane: Plane, shown: (part: number) => boolean): CutFace[] {
  const out: CutFace[] = [];
  for (let part = 0; part < model.count; part++) {
    if (!shown(part) || !crosses(model, part, plane)) continue;
    const rings = ringsOf(model, part, plane);
    if (rings.length) out.push(fill(part, rings, plane));
  }
  return out;
}

function crosses(model: Model, part: number, plane: Plane): boolean {
  const box = model.boxes;
  let least = -plane.at;
  let most = -plane.at;
  for (let k = 0; k < 3; k++) {
    const low = plane.normal[k] * box[6 * part + k];
    const high = plane.normal[k] * box[6 * part + k + 3];
    least += Math.min(low, high);
    most += Math.max(low, high);
  }
  return least < 0 && most >= 0;
}

function ringsOf(model: Model, part: number, plane: Plane): number[][] {
  const first = model.vertexStart[part];
  const count = model.vertexStart[part + 1] - first;
  const side = new Float64Array(count);
  for (let v = 0; v < count; v++) {
    const at = 3 * (first + v);
    side[v] =
      plane.normal[0] * model.vertices[at] +
      plane.normal[1] * model.vertices[at + 1] +
      plane.normal[2] * model.vertices[at + 2] -
      plane.at;
  }
  const next = new Map<number, number>();
  for (let f = model.triangleStart[part]; f < model.triangleStart[part + 1]; f++) {
    let down = -1;
    let up = -1;
    for (let k = 0; k < 3; k++) {
      const from = model.triangles[3 * f + k];
      const to = model.triangles[3 * f + ((k + 1) % 3)];
      const above = side[from] >= 0;
      if (above === side[to] >= 0) continue;
      const edge = Math.min(from, to) * count + Math.max(from, to);
      if (above) down = edge;
      else up = edge;
    }
    if (down >= 0) next.set(down, up);
  }
  const rings: number[][] = [];
  for (const start of next.keys()) {
    if (!next.has(start)) continue;
    const ring: number[] = [];
    let edge: number | undefined = start;
    do {
      const following: number | undefined = next.get(edge!);
      next.delete(edge!);
      ring.push(...pointOn(model, first, side, Math.floor(edge! / count), edge! % count));
      edge = following;
    } while (edge !== undefined && edge !== start);
    if (edge === start && ring.length >= 9) rings.push(ring);
  }
  return rings;
}

function pointOn(model: Model, first: number, side: Float64Array, a: number, b: number): Point {
  const share = side[a] / (side[a] - side[b]);
  const p = model.vertices;
  const from = 3 * (first + a);
  const to = 3 * (first + b);
  return [0, 1, 2].map((k) => p[from + k] + share * (p[to + k] - p[from + k])) as Point;
}

function fill(part: number, rings: number[][], plane: Plane): CutFace {
  const [u, v] = axesOf(plane.normal);
  const flat = rings.map((ring) => {
    const out: Vector2[] = [];
    for (let i = 0; i < ring.length; i += 3) {
      const point: Point = [ring[i], ring[i + 1], ring[i + 2]];
      out.push(new Vector2(dot(u, point), dot(v, point)));
    }
    return out;
  });
  const areas = flat.map((ring) => ShapeUtils.area(ring));
  const outer = flat.map((_, i) => i).filter((i) => areas[i] > 0);
  const holes = flat.map((_, i) => i).filter((i) => areas[i] < 0);
  const triangles: number[] = [];
  for (const i of outer) {
    const own = holes.filter((hole) => holder(hole, outer, flat, areas) === i);
    const order = [i, ...own];
    const points = order.flatMap((k) => {
      const ring = rings[k];
      return Array.from({ length: ring.length / 3 }, (_, n) => ring.slice(3 * n, 3 * n + 3));
    });
    const contour = [...flat[i]];
    const inner = own.map((k) => [...flat[k]]);
    for (const face of ShapeUtils.triangulateShape(contour, inner)) {
      for (const corner of face) triangles.push(...points[corner]);
    }
  }
  return { part, rings, flat, triangles };
}

/** The least ring round a hole. */
function holder(hole: number, outer: number[], flat: Vector2[][], areas: number[]): number {
  let best = -1;
  for (const i of outer) {
    if (inside(flat[hole][0], flat[i]) && (best < 0 || areas[i] < areas[best])) best = i;
  }
  return best;
}

export function inside(point: Vector2, ring: Vector2[]): boolean {
  let odd = false;
  for (let i = 0, j = ring.length - 1; i < ring.length; j = i++) {
    const a = ring[i];
    const b = ring[j];
    if (a.y > point.y !== b.y > point.y && point.x < ((b.x - a.x) * (point.y - a.y)) / (b.y - a.y) + a.x) odd = !odd;
  }
  return odd;
}
