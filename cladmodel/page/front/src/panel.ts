// The controls beside the picture: each one changes the state and shows what it has come to.

import type { Model, Point } from "./model";
import { wallAxis } from "./model";
import { Rod } from "./rod";
import { isShown, type State } from "./state";
import type { Viewer } from "./viewer";

const MARKS_NAMED = 12;

export function element<T extends Element = HTMLElement>(id: string): T {
  const found = document.getElementById(id);
  if (!found) throw new Error(`no element ${id}`);
  return found as unknown as T;
}

export function bindPanel(viewer: Viewer): void {
  const { model, state } = viewer;
  bindLook(viewer);
  bindLayers(viewer);
  bindCut(viewer);
  const rod = bindSteps(viewer);
  viewer.whenChanged(() => rod.show(state.step));
  bindMeasure(viewer);
  bindMarks(viewer, model);
}

function choices(select: HTMLSelectElement, titles: string[], chosen: number, changed: (i: number) => void): void {
  titles.forEach((title, i) => select.add(new Option(title, String(i))));
  select.value = String(chosen);
  select.addEventListener("change", () => changed(Number(select.value)));
}

function bindLook(viewer: Viewer): void {
  const { model, state } = viewer;
  const { finishes, suns, walls } = model.head;
  choices(element("finish"), finishes.map((one) => one.title), state.finish, (i) => {
    state.finish = i;
    viewer.changed();
  });
  choices(element("sun"), suns.map((one) => one.title), state.sun, (i) => {
    state.sun = i;
    viewer.changed();
  });
  const stands = ["to see the whole", ...walls.map((wall) => `square to ${wall.name}`), "close to the foot"];
  choices(element("stand"), stands, 0, (i) => {
    if (i === 0) viewer.flyHome();
    else if (i <= walls.length) viewer.faceWall(i - 1);
    else viewer.faceFoot();
  });
}

function bindLayers(viewer: Viewer): void {
  const { model, state } = viewer;
  const used = new Set(model.head.parts.layer);
  const host = element("layers");
  model.head.layers.forEach((layer, i) => {
    const isFixings = layer.name === "fixings" && model.head.fixings.length > 0;
    if (!used.has(i) && !isFixings) return;
    const box = document.createElement("input");
    box.type = "checkbox";
    box.checked = true;
    box.dataset.layer = layer.name;
    box.addEventListener("change", () => {
      state.layers[i] = box.checked;
      viewer.changed();
    });
    const label = document.createElement("label");
    label.className = "tick";
    label.append(box, ` ${layer.title}`);
    host.append(label);
  });
}

function bindCut(viewer: Viewer): void {
  const { model, state } = viewer;
  const kind = element<HTMLSelectElement>("cut");
  const wall = element<HTMLSelectElement>("cut-wall");
  const at = element<HTMLInputElement>("cut-at");
  const turn = element<HTMLButtonElement>("cut-turn");
  const face = element<HTMLButtonElement>("cut-face");
  const words = element("cut-words");
  let side = 1;
  const names = model.head.walls.map((one) => one.name);
  choices(wall, names, 0, () => begin());
  element("cut-wall-row").hidden = names.length < 2;

  const reach = (axis: number): [number, number] => {
    const one = model.head.walls[Number(wall.value)];
    if (axis === 0) return [0, one.length];
    if (axis === 1) return [one.ground, one.head];
    return viewer.depth(Number(wall.value));
  };
  const begin = (): void => {
    side = 1;
    at.value = kind.value === "0" ? "620" : "500";
    apply();
  };
  const apply = (): void => {
    const on = kind.value !== "";
    at.disabled = turn.disabled = face.disabled = !on;
    if (!on) {
      state.plane = null;
      words.textContent = "";
      viewer.changed();
      return;
    }
    const axis = Number(kind.value);
    const [from, to] = reach(axis);
    const where = from + ((to - from) * Number(at.value)) / 1000;
    const normal = wallAxis(model, Number(wall.value), axis).map((x) => side * x) as Point;
    const origin = viewer.origin(Number(wall.value));
    const base = normal.reduce((sum, x, k) => sum + x * origin[k], 0);
    state.plane = { normal, at: base + side * where };
    const name = names.length > 1 ? ` of ${names[Number(wall.value)]}` : "";
    words.textContent =
      axis === 0
        ? `${where.toFixed(0)} mm from the left corner${name}`
        : axis === 1
          ? `${where.toFixed(0)} mm above the foot${name}`
          : `${where.toFixed(0)} mm out from the battens' face${name}`;
    viewer.changed();
  };
  kind.addEventListener("change", begin);
  at.addEventListener("input", apply);
  turn.addEventListener("click", () => {
    side = -side;
    apply();
  });
  face.addEventListener("click", () => viewer.faceCut(Number(wall.value)));
}

function bindSteps(viewer: Viewer): Rod {
  const { model, state } = viewer;
  const range = element<HTMLInputElement>("step");
  const words = element("step-words");
  const { steps } = model.head;
  range.max = String(steps.length - 1);
  const to = (step: number): void => {
    state.step = Math.min(Math.max(step, 0), steps.length - 1);
    viewer.changed();
  };
  const show = (): void => {
    range.value = String(state.step);
    words.textContent = stepWords(model, state);
    range.setAttribute("aria-valuetext", steps[state.step]);
  };
  range.addEventListener("input", () => to(Number(range.value)));
  element("step-back").addEventListener("click", () => to(state.step - 1));
  element("step-on").addEventListener("click", () => to(state.step + 1));
  viewer.whenChanged(show);
  show();
  element("rod-numbers").append(...Rod.numbers(model));
  const rod = new Rod(model, element("rod-strip"), to);
  rod.show(state.step);
  return rod;
}

function stepWords(model: Model, state: State): string {
  const { parts, steps } = model.head;
  const kinds = new Map<string, string[]>();
  for (let part = 0; part < parts.own; part++) {
    if (parts.step[part] !== state.step) continue;
    kinds.set(parts.kind[part], [...(kinds.get(parts.kind[part]) ?? []), parts.mark[part]]);
  }
  // Boards are named before their packers.
  const order = [...kinds].sort(([a], [b]) => Number(b === "board") - Number(a === "board"));
  const counted = order.map(([kind, marks]) => `${kind} ${marks.length}`).join(", ");
  const first = order[0]?.[1] ?? [];
  const more = first.length > MARKS_NAMED ? ` and ${first.length - MARKS_NAMED} more` : "";
  const named = first.slice(0, MARKS_NAMED).join(", ");
  return `${state.step + 1} of ${steps.length}. ${steps[state.step]}: ${counted}. ${named}${more}.`;
}

function bindMeasure(viewer: Viewer): void {
  const button = element<HTMLButtonElement>("measure");
  const words = element("tape");
  button.addEventListener("click", () => viewer.takeTape(viewer.state.tool !== "measure"));
  viewer.whenChanged(() => {
    const on = viewer.state.tool === "measure";
    button.setAttribute("aria-pressed", String(on));
    const asked = ["Tap the first point; it jumps to the nearest arris.", "Tap the second point."];
    words.textContent = on ? (asked[viewer.state.points.length] ?? viewer.tapeWords()) : "";
  });
}

function bindMarks(viewer: Viewer, model: Model): void {
  const field = element<HTMLInputElement>("mark");
  const list = element("marks");
  for (let part = 0; part < model.head.parts.own; part++) list.append(new Option(model.head.parts.mark[part]));
  const go = (): void => {
    const wanted = field.value.trim();
    const marks = model.head.parts.mark;
    // As written, else in small letters or capitals.
    const part = model.partOf.get(wanted) ?? marks.findIndex((one) => one.toLowerCase() === wanted.toLowerCase());
    const known = part >= 0 && part < model.head.parts.own;
    field.setCustomValidity(known || !wanted ? "" : "No piece has this mark.");
    field.reportValidity();
    if (known) viewer.showParts([part]);
  };
  field.addEventListener("change", go);
}

/** What is known of a piece, or nothing. */
export function showCard(model: Model, state: State): void {
  const card = element("card");
  card.replaceChildren();
  if (!state.picked.length) return;
  const part = state.picked[0];
  const { parts, walls } = model.head;
  const rows: [string, string][] = [
    [capital(parts.kind[part]), parts.mark[part]],
    ["Wall", walls.length > 1 ? walls[parts.wall[part]].name : ""],
    ["Course", parts.course[part] ? String(parts.course[part]) : ""],
    ["Section", parts.section[part]],
    ["Cut length", parts.length[part] ? `${parts.length[part].toFixed(1)} mm` : ""],
    ["Stock board", parts.stock[part]],
    ["Goes up with", parts.assembly[part]],
    ["", isShown(model, state, part) ? "" : "not shown at this step or layer"],
  ];
  const list = document.createElement("dl");
  for (const [name, value] of rows) {
    if (!value) continue;
    const row = document.createElement("div");
    const term = document.createElement("dt");
    const words = document.createElement("dd");
    term.textContent = name;
    words.textContent = value;
    row.append(term, words);
    list.append(row);
  }
  card.append(list);
}

const capital = (text: string): string => text.charAt(0).toUpperCase() + text.slice(1);
