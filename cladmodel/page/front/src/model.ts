// Reads the model out of the page and derives what looking at it needs: boxes and arrises.

export type Point = [number, number, number];

export interface Head {
  title: string;
  walls: { name: string; frame: number[]; length: number; head: number; ground: number; lone: boolean }[];
  layers: { name: string; title: string }[];
  materials: { name: string; colour: string }[];
  steps: string[];
  stepCourses: number[];
  rod: number[];
  parts: {
    own: number;
    mark: string[];
    kind: string[];
    wall: number[];
    layer: number[];
    material: number[];
    step: number[];
    course: number[];
    section: string[];
    length: number[];
    assembly: string[];
    stock: string[];
  };
  fixings: {
    mark: string;
    use: string;
    name: string;
    diameter: number;
    length: number;
    head: number;
    thick: number;
    shown: boolean;
  }[];
  findings: { verdict: string; where: Point | null; marks: string[]; wall: number }[];
  finishes: { name: string; title: string; colours: Record<string, string>; opaque: boolean }[];
  finish: number;
  suns: {
    name: string;
    title: string;
    azimuth: number;
    altitude: number;
    strength: number;
    sky: number;
    warmth: number;
  }[];
  vertexCounts: number[];
  triangleCounts: number[];
  fixingCounts: number[];
  wide: boolean;
}

export interface Model {
  head: Head;
  count: number;
  /** x, y, z of every vertex, building axes. [mm] */
  vertices: Float32Array;
  /** Corners of every triangle, numbered within its own part. */
  triangles: Uint16Array | Uint32Array;
  /** Where each part's vertices and triangles begin, and the total. */
  vertexStart: number[];
  triangleStart: number[];
  /** Least and most x, y, z of each part. [mm] */
  boxes: Float32Array;
  /** Two vertices, numbered within its part, for each arris. */
  arrises: Uint32Array[];
  /** Bearing point and direction of every fixing, and the step in which it goes in. */
  fixings: Float32Array;
  fixingSteps: Uint16Array;
  fixingStart: number[];
  partOf: Map<string, number>;
}

// Faces that meet at more than this are parted by an arris: 14 degrees, above the facets of a round, by eye.
const SHARP = Math.cos((14 * Math.PI) / 180);

export async function readModel(element: HTMLElement): Promise<Model> {
  const packed = Uint8Array.from(atob((element.textContent ?? "").trim()), (c) => c.charCodeAt(0));
  const stream = new Blob([packed]).stream().pipeThrough(new DecompressionStream("gzip"));
  return unpack(await new Response(stream).arrayBuffer());
}

function unpack(buffer: ArrayBuffer): Model {
  const length = new DataView(buffer).getUint32(0, true);
  const head = JSON.parse(new TextDecoder().decode(new Uint8Array(buffer, 4, length))) as Head;
  let at = 4 + length;
  const take = <T>(make: new (b: ArrayBuffer, o: number, n: number) => T, size: number, n: number): T => {
    const array = new make(buffer, at, n);
    at += Math.ceil((n * size) / 4) * 4;
    return array;
  };
  const vertexStart = running(head.vertexCounts);
  const triangleStart = running(head.triangleCounts);
  const fixingStart = running(head.fixingCounts);
  const last = (list: number[]): number => list[list.length - 1];
  const vertices = take(Float32Array, 4, 3 * last(vertexStart));
  const fixings = take(Float32Array, 4, 6 * last(fixingStart));
  const fixingSteps = take(Uint16Array, 2, last(fixingStart));
  const corners = 3 * last(triangleStart);
  const triangles = head.wide ? take(Uint32Array, 4, corners) : take(Uint16Array, 2, corners);
  const count = head.parts.mark.length;
  const model: Model = {
    head,
    count,
    vertices,
    triangles,
    vertexStart,
    triangleStart,
    boxes: new Float32Array(6 * count),
    arrises: [],
    fixings,
    fixingSteps,
    fixingStart,
    partOf: new Map(head.parts.mark.map((mark, part) => [mark, part])),
  };
  for (let part = 0; part < count; part++) {
    measureBox(model, part);
    model.arrises.push(findArrises(model, part));
  }
  return model;
}

function running(counts: number[]): number[] {
  const out = [0];
  for (const count of counts) out.push(out[out.length - 1] + count);
  return out;
}

function measureBox(model: Model, part: number): void {
  const box = model.boxes.subarray(6 * part, 6 * part + 6);
  box.fill(Infinity, 0, 3);
  box.fill(-Infinity, 3, 6);
  for (let v = model.vertexStart[part]; v < model.vertexStart[part + 1]; v++) {
    for (let k = 0; k < 3; k++) {
      const value = model.vertices[3 * v + k];
      if (value < box[k]) box[k] = value;
      if (value > box[k + 3]) box[k + 3] = value;
    }
  }
}

/** Unit normal of a triangle, 0 0 0 if it has no area. */
export function normalOf(model: Model, part: number, triangle: number): Point {
  const { vertices: p, triangles: t } = model;
  const base = model.vertexStart[part];
  const a = 3 * (base + t[3 * triangle]);
  const b = 3 * (base + t[3 * triangle + 1]);
  const c = 3 * (base + t[3 * triangle + 2]);
  const ux = p[b] - p[a];
  const uy = p[b + 1] - p[a + 1];
  const uz = p[b + 2] - p[a + 2];
  const vx = p[c] - p[a];
  const vy = p[c + 1] - p[a + 1];
  const vz = p[c + 2] - p[a + 2];
  const n: Point = [uy * vz - uz * vy, uz * vx - ux * vz, ux * vy - uy * vx];
  const size = Math.hypot(...n) || 1;
  return [n[0] / size, n[1] / size, n[2] / size];
}

function findArrises(model: Model, part: number): Uint32Array {
  const vertices = model.vertexStart[part + 1] - model.vertexStart[part];
  const seen = new Map<number, Point>();
  const out: number[] = [];
  for (let f = model.triangleStart[part]; f < model.triangleStart[part + 1]; f++) {
    const normal = normalOf(model, part, f);
    for (let k = 0; k < 3; k++) {
      const from = model.triangles[3 * f + k];
      const to = model.triangles[3 * f + ((k + 1) % 3)];
      const key = Math.min(from, to) * vertices + Math.max(from, to);
      const other = seen.get(key);
      if (other === undefined) seen.set(key, normal);
      else if (other[0] * normal[0] + other[1] * normal[1] + other[2] * normal[2] < SHARP) out.push(from, to);
    }
  }
  return Uint32Array.from(out);
}

export function vertexOf(model: Model, part: number, vertex: number): Point {
  const at = 3 * (model.vertexStart[part] + vertex);
  return [model.vertices[at], model.vertices[at + 1], model.vertices[at + 2]];
}

/** Least box round some parts: least x, y, z and most x, y, z. [mm] */
export function boxRound(model: Model, parts: Iterable<number>): number[] {
  const box = [Infinity, Infinity, Infinity, -Infinity, -Infinity, -Infinity];
  for (const part of parts) {
    for (let k = 0; k < 3; k++) {
      box[k] = Math.min(box[k], model.boxes[6 * part + k]);
      box[k + 3] = Math.max(box[k + 3], model.boxes[6 * part + k + 3]);
    }
  }
  return box;
}

/** Turn a way from building axes into a wall's: along, up, out. */
export function inWall(model: Model, wall: number, way: Point): Point {
  const f = model.head.walls[wall].frame;
  return [0, 1, 2].map((k) => f[k] * way[0] + f[4 + k] * way[1] + f[8 + k] * way[2]) as Point;
}

/** One of a wall's own axes (0 along, 1 up, 2 out) in building axes. */
export function wallAxis(model: Model, wall: number, axis: number): Point {
  const f = model.head.walls[wall].frame;
  return [f[axis], f[4 + axis], f[8 + axis]];
}
