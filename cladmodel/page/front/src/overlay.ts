// Lines and words over the picture: the tape between two points, and the place of a finding.

import type { Orbit } from "./orbit";
import { inWall, type Model, type Point } from "./model";
import type { State } from "./state";

const SVG = "http://www.w3.org/2000/svg";

export function svg(name: string, attributes: Record<string, string | number>, text = ""): SVGElement {
  const out = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) out.setAttribute(key, String(value));
  if (text) out.textContent = text;
  return out;
}

export function drawOverlay(layer: SVGSVGElement, orbit: Orbit, state: State): void {
  layer.replaceChildren();
  const spots = state.points.map((point) => orbit.screen(point));
  if (spots.length === 2 && !spots.some((spot) => spot.behind)) {
    const [a, b] = spots;
    const ends = { x1: a.x, y1: a.y, x2: b.x, y2: b.y };
    layer.append(svg("line", { ...ends, class: "tape-edge" }), svg("line", { ...ends, class: "tape" }));
    const words = `${length(state.points).toFixed(1)} mm`;
    const left = (a.x + b.x) / 2;
    layer.append(svg("text", { x: left, y: (a.y + b.y) / 2 - 10, class: "figure" }, words));
  }
  for (const spot of spots) if (!spot.behind) layer.append(cross(spot.x, spot.y));
  if (state.place) {
    const at = orbit.screen(state.place);
    if (!at.behind) layer.append(svg("circle", { cx: at.x, cy: at.y, r: 16, class: "place" }));
  }
}

/** A pencil cross, not a blob: it shows which point exactly. */
function cross(x: number, y: number): SVGElement {
  const d = `M${x - 9} ${y}H${x + 9}M${x} ${y - 9}V${y + 9}`;
  const group = svg("g", {});
  group.append(svg("path", { d, class: "cross-edge" }), svg("path", { d, class: "cross" }));
  return group;
}

export function length(points: Point[]): number {
  const [a, b] = points;
  return Math.hypot(b[0] - a[0], b[1] - a[1], b[2] - a[2]);
}

/** A measured length in words, split along the axes of the wall it was taken on. */
export function lengthWords(model: Model, points: Point[], wall: number): string {
  const [a, b] = points;
  const way = inWall(model, wall, [b[0] - a[0], b[1] - a[1], b[2] - a[2]]);
  const [along, up, out] = way.map((x) => Math.abs(x).toFixed(1));
  return `${length(points).toFixed(1)} mm. Along the wall ${along}, upright ${up}, through the wall ${out}.`;
}
