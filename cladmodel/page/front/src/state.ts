// What is shown at the moment. The panel changes it, the stage draws it.

import type { Plane } from "./cut";
import type { Model, Point } from "./model";

export interface State {
  layers: boolean[];
  /** Last step of the building-up order that is shown. */
  step: number;
  finish: number;
  sun: number;
  plane: Plane | null;
  tool: "piece" | "measure";
  /** Pieces picked out in colour. */
  picked: number[];
  points: Point[];
  /** A place pointed out, such as a finding's. */
  place: Point | null;
}

export function startState(model: Model): State {
  return {
    layers: model.head.layers.map(() => true),
    step: model.head.steps.length - 1,
    finish: model.head.finish,
    sun: 0,
    plane: null,
    tool: "piece",
    picked: [],
    points: [],
    place: null,
  };
}

export function isShown(model: Model, state: State, part: number): boolean {
  const { layer, step } = model.head.parts;
  return state.layers[layer[part]] && step[part] <= state.step;
}

/** True when nothing of the wall is taken away: then what is concealed cannot be seen. */
export function isWhole(model: Model, state: State): boolean {
  return state.plane === null && state.step === model.head.steps.length - 1 && state.layers.every((on) => on);
}
