// Nails and screws: one shape for each size, drawn as often as it is driven. Their triangles would outnumber
// all others, so that only heads are drawn while the wall is whole, and nothing from far away.

import {
  Color,
  type Group,
  InstancedMesh,
  LatheGeometry,
  Matrix4,
  MeshLambertMaterial,
  type Plane as ThreePlane,
  Quaternion,
  Vector2,
  Vector3,
} from "three";
import type { Model } from "./model";
import { isWhole, type State } from "./state";

const SIDES = 8;
/** A head smaller than this on the screen is not drawn. [pixels] */
const LEAST = 0.8;

interface Kind {
  heads: InstancedMesh;
  whole: InstancedMesh;
  steps: number[];
  shown: boolean;
  size: number;
}

export class Nails {
  private readonly kinds: Kind[] = [];

  constructor(model: Model, group: Group, planes: ThreePlane[]) {
    const steel = new MeshLambertMaterial({ color: new Color("#8f9192"), clippingPlanes: planes });
    const alike = new Map<string, number[]>();
    model.head.fixings.forEach((one, i) => {
      const key = [one.diameter, one.length, one.head, one.thick, one.shown].join(" ");
      alike.set(key, [...(alike.get(key) ?? []), i]);
    });
    for (const groups of alike.values()) {
      const one = model.head.fixings[groups[0]];
      const all = groups
        .flatMap((g) => range(model.fixingStart[g], model.fixingStart[g + 1]))
        .sort((a, b) => model.fixingSteps[a] - model.fixingSteps[b]);
      if (!all.length) continue;
      const shank = one.diameter / 2;
      const head = one.head / 2;
      const tip = 1.5 * one.diameter;
      const top = [new Vector2(head, 0), new Vector2(head, one.thick), new Vector2(0, one.thick)];
      const body = [new Vector2(0, -one.length), new Vector2(shank, tip - one.length), new Vector2(shank, 0)];
      const kind: Kind = {
        heads: new InstancedMesh(new LatheGeometry(top, SIDES), steel, all.length),
        whole: new InstancedMesh(new LatheGeometry([...body, ...top], SIDES), steel, all.length),
        steps: all.map((i) => model.fixingSteps[i]),
        shown: one.shown,
        size: one.head,
      };
      place(model, all, kind);
      group.add(kind.heads, kind.whole);
      this.kinds.push(kind);
    }
  }

  /** Settle what is drawn. `pixel` is the size of a pixel at the wall. [mm] */
  update(model: Model, state: State, layer: number, pixel: number): void {
    const whole = isWhole(model, state);
    for (const kind of this.kinds) {
      const seen = state.layers[layer] && kind.size > LEAST * pixel && (kind.shown || !whole);
      const count = kind.steps.filter((step) => step <= state.step).length;
      kind.heads.visible = seen && whole;
      kind.whole.visible = seen && !whole;
      kind.heads.count = kind.whole.count = count;
    }
  }
}

function place(model: Model, all: number[], kind: Kind): void {
  const matrix = new Matrix4();
  const turn = new Quaternion();
  const up = new Vector3(0, 1, 0);
  const out = new Vector3();
  const at = new Vector3();
  const size = new Vector3(1, 1, 1);
  all.forEach((fixing, i) => {
    at.fromArray(model.fixings, 6 * fixing);
    out.fromArray(model.fixings, 6 * fixing + 3).negate();
    matrix.compose(at, turn.setFromUnitVectors(up, out), size);
    kind.heads.setMatrixAt(i, matrix);
    kind.whole.setMatrixAt(i, matrix);
  });
  for (const mesh of [kind.heads, kind.whole]) {
    mesh.frustumCulled = false;
    mesh.visible = false;
  }
}

function range(from: number, to: number): number[] {
  return Array.from({ length: to - from }, (_, i) => from + i);
}
