// What lies under a finger: the nearest piece along a ray, and the arris near to it.

import { Vector2 } from "three";
import { axesOf, type CutFace, dot, inside, type Plane } from "./cut";
import { type Model, type Point, vertexOf } from "./model";

export interface Ray {
  from: Point;
  way: Point;
}

export interface Hit {
  part: number;
  point: Point;
  /** The cut face that was hit, if it was one. */
  face: CutFace | null;
  far: number;
}

export interface Scene {
  model: Model;
  shown: (part: number) => boolean;
  plane: Plane | null;
  faces: CutFace[];
}

const along = (ray: Ray, far: number): Point =>
  [0, 1, 2].map((k) => ray.from[k] + far * ray.way[k]) as Point;

export function pick(scene: Scene, ray: Ray): Hit | null {
  let best: Hit | null = pickCut(scene, ray);
  for (let part = 0; part < scene.model.count; part++) {
    if (!scene.shown(part)) continue;
    const reach = best ? best.far : Infinity;
    if (!boxMet(scene.model, part, ray, reach)) continue;
    const far = partMet(scene, part, ray, reach);
    if (far < reach) best = { part, point: along(ray, far), face: null, far };
  }
  return best;
}

function pickCut(scene: Scene, ray: Ray): Hit | null {
  const { plane } = scene;
  if (!plane) return null;
  const slope = dot(plane.normal, ray.way);
  if (slope >= 0) return null; // seen from behind
  const far = (plane.at - dot(plane.normal, ray.from)) / slope;
  if (far <= 0) return null;
  const point = along(ray, far);
  const [u, v] = axesOf(plane.normal);
  const flat = new Vector2(dot(u, point), dot(v, point));
  for (const face of scene.faces) {
    const rings = face.flat.filter((ring) => inside(flat, ring)).length;
    if (rings % 2 === 1) return { part: face.part, point, face, far };
  }
  return null;
}

function boxMet(model: Model, part: number, ray: Ray, reach: number): boolean {
  let near = 0;
  let far = reach;
  for (let k = 0; k < 3; k++) {
    const inverse = 1 / ray.way[k];
    let a = (model.boxes[6 * part + k] - ray.from[k]) * inverse;
    let b = (model.boxes[6 * part + 3 + k] - ray.from[k]) * inverse;
    if (a > b) [a, b] = [b, a];
    if (a > near) near = a;
    if (b < far) far = b;
    if (near > far) return false;
  }
  return true;
}

/** Where a ray enters a part, or Infinity. */
function partMet(scene: Scene, part: number, ray: Ray, reach: number): number {
  const { model, plane } = scene;
  const p = model.vertices;
  const t = model.triangles;
  const base = model.vertexStart[part];
  const [ox, oy, oz] = ray.from;
  const [dx, dy, dz] = ray.way;
  let best = reach;
  for (let f = model.triangleStart[part]; f < model.triangleStart[part + 1]; f++) {
    const a = 3 * (base + t[3 * f]);
    const b = 3 * (base + t[3 * f + 1]);
    const c = 3 * (base + t[3 * f + 2]);
    const ex = p[b] - p[a];
    const ey = p[b + 1] - p[a + 1];
    const ez = p[b + 2] - p[a + 2];
    const fx = p[c] - p[a];
    const fy = p[c + 1] - p[a + 1];
    const fz = p[c + 2] - p[a + 2];
    const hx = dy * fz - dz * fy;
    const hy = dz * fx - dx * fz;
    const hz = dx * fy - dy * fx;
    const det = ex * hx + ey * hy + ez * hz;
    if (det < 1e-9) continue; // seen from behind, or edge on
    const sx = ox - p[a];
    const sy = oy - p[a + 1];
    const sz = oz - p[a + 2];
    const u = (sx * hx + sy * hy + sz * hz) / det;
    if (u < 0 || u > 1) continue;
    const qx = sy * ez - sz * ey;
    const qy = sz * ex - sx * ez;
    const qz = sx * ey - sy * ex;
    const v = (dx * qx + dy * qy + dz * qz) / det;
    if (v < 0 || u + v > 1) continue;
    const far = (fx * qx + fy * qy + fz * qz) / det;
    if (far <= 1e-3 || far >= best) continue;
    if (plane && dot(plane.normal, along(ray, far)) > plane.at) continue;
    best = far;
  }
  return best < reach ? best : Infinity;
}

export interface Snapped {
  point: Point;
  /** What it snapped to: a corner, an arris, or nothing (the face). */
  to: "corner" | "arris" | "face";
}

type OnScreen = (point: Point) => { x: number; y: number };

// A fingertip covers about this much. [CSS pixels], by eye
const CORNER = 14;
const ARRIS = 11;

/** Draw a hit to the nearest corner, else the nearest arris, that can be seen from where one stands. */
export function snap(scene: Scene, hit: Hit, eye: Point, screen: OnScreen): Snapped {
  const finger = screen(hit.point);
  const gap = (point: Point): number => {
    const at = screen(point);
    return Math.hypot(at.x - finger.x, at.y - finger.y);
  };
  const edges = edgesOf(scene, hit);
  const corners = edges.flat().map((point) => ({ point, off: gap(point) }));
  const arrises = edges.map(([a, b]) => {
    const point = nearestOn(a, b, screen, finger);
    return { point, off: gap(point) };
  });
  const first = (list: { point: Point; off: number }[], most: number): Point | undefined =>
    list
      .filter((one) => one.off < most)
      .sort((a, b) => a.off - b.off)
      .find((one) => seen(scene, eye, one.point))?.point;
  const corner = first(corners, CORNER);
  if (corner) return { point: corner, to: "corner" };
  const arris = first(arrises, ARRIS);
  if (arris) return { point: arris, to: "arris" };
  return { point: hit.point, to: "face" };
}

function edgesOf(scene: Scene, hit: Hit): [Point, Point][] {
  if (hit.face) {
    return hit.face.rings.flatMap((ring) => {
      const points = Array.from({ length: ring.length / 3 }, (_, i) => ring.slice(3 * i, 3 * i + 3) as Point);
      return points.map((point, i): [Point, Point] => [point, points[(i + 1) % points.length]]);
    });
  }
  const arrises = scene.model.arrises[hit.part];
  const out: [Point, Point][] = [];
  for (let i = 0; i < arrises.length; i += 2) {
    out.push([vertexOf(scene.model, hit.part, arrises[i]), vertexOf(scene.model, hit.part, arrises[i + 1])]);
  }
  return out;
}

/** The point of a straight arris that comes nearest to the finger on the screen. */
function nearestOn(a: Point, b: Point, screen: OnScreen, finger: { x: number; y: number }): Point {
  const at = (share: number): Point => [0, 1, 2].map((k) => a[k] + share * (b[k] - a[k])) as Point;
  const off = (share: number): number => {
    const s = screen(at(share));
    return Math.hypot(s.x - finger.x, s.y - finger.y);
  };
  // Perspective is no even scale along the arris; the distance still has one least value: narrow it down.
  let low = 0;
  let high = 1;
  for (let i = 0; i < 40; i++) {
    const third = (high - low) / 3;
    if (off(low + third) < off(high - third)) high -= third;
    else low += third;
  }
  return at((low + high) / 2);
}

function seen(scene: Scene, eye: Point, point: Point): boolean {
  const { plane } = scene;
  if (plane && dot(plane.normal, point) > plane.at + 1e-2) return false;
  const way = [0, 1, 2].map((k) => point[k] - eye[k]) as Point;
  const far = Math.hypot(...way);
  const unit = way.map((x) => x / far) as Point;
  const hit = pick(scene, { from: eye, way: unit });
  return !hit || hit.far > far - 0.5; // half a millimetre: rounding of single precision far from the eye
}
