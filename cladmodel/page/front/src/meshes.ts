// Parts as meshes: one for each layer and material, its parts in building-up order, so that a step of the
// walk is nothing but a shorter range to draw.

import { BufferAttribute, BufferGeometry } from "three";
import { dealer, STRIP } from "./grain";
import { type Model, normalOf, vertexOf } from "./model";

export interface Batch {
  layer: number;
  material: number;
  faces: BufferGeometry;
  lines: BufferGeometry;
  /** Step of each part in the batch, rising, and where its corners and line ends stop. */
  steps: number[];
  facesTo: number[];
  linesTo: number[];
}

/** Boards and the like differ a little in lightness. [-], by eye */
const SPREAD = 0.09;
/** Perforated strips have thousands of arrises, which would only make a grey blur. */
const MOST_LINES = 400;

export function batches(model: Model): Batch[] {
  const { layer, material, step } = model.head.parts;
  const groups = new Map<string, number[]>();
  for (let part = 0; part < model.count; part++) {
    const key = `${layer[part]} ${material[part]}`;
    groups.set(key, [...(groups.get(key) ?? []), part]);
  }
  return [...groups.values()].map((parts) => {
    parts.sort((a, b) => step[a] - step[b] || a - b);
    return batch(model, parts);
  });
}

function batch(model: Model, parts: number[]): Batch {
  const corners = parts.reduce((n, p) => n + 3 * model.head.triangleCounts[p], 0);
  const position = new Float32Array(3 * corners);
  const normal = new Int8Array(4 * corners);
  const uv = new Float32Array(2 * corners);
  const tint = new Float32Array(3 * corners);
  const ends: number[] = [];
  const steps: number[] = [];
  const facesTo: number[] = [];
  const linesTo: number[] = [];
  let at = 0;
  for (const part of parts) {
    at = addFaces(model, part, at, position, normal, uv, tint);
    const arrises = model.arrises[part];
    if (arrises.length <= 2 * MOST_LINES) for (const vertex of arrises) ends.push(...vertexOf(model, part, vertex));
    steps.push(model.head.parts.step[part]);
    facesTo.push(at);
    linesTo.push(ends.length / 3);
  }
  const faces = new BufferGeometry();
  faces.setAttribute("position", new BufferAttribute(position, 3));
  faces.setAttribute("normal", new BufferAttribute(normal, 4, true));
  faces.setAttribute("uv", new BufferAttribute(uv, 2));
  faces.setAttribute("color", new BufferAttribute(tint, 3));
  const lines = new BufferGeometry();
  lines.setAttribute("position", new BufferAttribute(Float32Array.from(ends), 3));
  const { layer, material } = model.head.parts;
  return { layer: layer[parts[0]], material: material[parts[0]], faces, lines, steps, facesTo, linesTo };
}

function addFaces(
  model: Model,
  part: number,
  start: number,
  position: Float32Array,
  normal: Int8Array,
  uv: Float32Array,
  tint: Float32Array,
): number {
  const deal = dealer(7919 + 104729 * part);
  deal();
  const shade = 1 + SPREAD * (2 * deal() - 1);
  const warm = 1 + 0.25 * SPREAD * (2 * deal() - 1);
  const shift = [deal() * STRIP.along, deal() * STRIP.across];
  const turned = deal() < 0.5 ? -1 : 1;
  const { way, side } = longWay(model, part);
  const lawn = model.head.materials[model.head.parts.material[part]].name === "lawn";
  const box = model.boxes.subarray(6 * part, 6 * part + 6);
  let at = start;
  for (let f = model.triangleStart[part]; f < model.triangleStart[part + 1]; f++) {
    const n = normalOf(model, part, f);
    for (let k = 0; k < 3; k++, at++) {
      const p = vertexOf(model, part, model.triangles[3 * f + k]);
      position.set(p, 3 * at);
      for (let j = 0; j < 3; j++) normal[4 * at + j] = Math.round(127 * n[j]);
      tint.set([shade * warm, shade, shade / warm], 3 * at);
      if (lawn) {
        // Seen from above, so that it can thin out towards its edges.
        uv[2 * at] = (p[0] - box[0]) / (box[3] - box[0]);
        uv[2 * at + 1] = (p[2] - box[2]) / (box[5] - box[2]);
        continue;
      }
      const along = p[0] * way[0] + p[1] * way[1] + p[2] * way[2];
      // Across the grain: height for what lies level, else whatever lies square to the length.
      const across = p[0] * side[0] + p[1] * side[1] + p[2] * side[2] + (n[0] + n[2] > 0 ? 0 : 37);
      uv[2 * at] = turned * (along + shift[0]) / STRIP.along;
      uv[2 * at + 1] = (across + shift[1]) / STRIP.across;
    }
  }
  return at;
}

/** Way of a part's longest arris, and one square to it, both level or upright. */
function longWay(model: Model, part: number): { way: number[]; side: number[] } {
  let longest = 0;
  let way = [1, 0, 0];
  const arrises = model.arrises[part];
  for (let i = 0; i < arrises.length; i += 2) {
    const a = vertexOf(model, part, arrises[i]);
    const b = vertexOf(model, part, arrises[i + 1]);
    const length = Math.hypot(b[0] - a[0], b[1] - a[1], b[2] - a[2]);
    if (length > longest) {
      longest = length;
      way = [0, 1, 2].map((k) => (b[k] - a[k]) / length);
    }
  }
  if (Math.abs(way[1]) < 0.9) return { way, side: [0.15 * way[2], 1, -0.15 * way[0]] };
  return { way, side: [0.8, 0, 0.6] };
}

/** How far into a batch one has to draw for everything up to a step. */
export function reach(steps: number[], to: number[], step: number): number {
  let count = 0;
  for (let i = 0; i < steps.length && steps[i] <= step; i++) count = to[i];
  return count;
}
