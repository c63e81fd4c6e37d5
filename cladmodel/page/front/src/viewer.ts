// Holds picture, state and controls together.

import { dot } from "./cut";
import { boxRound, type Model, type Point, vertexOf, wallAxis } from "./model";
import { Orbit, type Stand } from "./orbit";
import { drawOverlay, lengthWords } from "./overlay";
import { element, showCard } from "./panel";
import { pick, type Scene, snap } from "./pick";
import { Stage } from "./stage";
import { startState, type State } from "./state";

const CORNER_TURN = 0.62; // [rad], by eye: both walls of a corner are seen, the first one more
const HOME_RISE = 0.13;
const REST = 400; // [ms] without movement
const SLOW = 90; // [ms] between two frames
const COARSE = 0.5; // of the screen's own sharpness

export class Viewer {
  readonly state: State;
  readonly stage: Stage;
  readonly orbit: Orbit;
  /** When the first frame was really on the screen, from the page's start. [ms] */
  firstFrame = 0;
  private readonly listeners: (() => void)[] = [];
  private readonly over = element<SVGSVGElement>("over");
  private waiting = 0;
  private tapeWall = 0;
  private movedAt = 0;
  private late = 0;
  private resting = 0;

  constructor(
    readonly model: Model,
    private readonly canvas: HTMLCanvasElement,
  ) {
    this.state = startState(model);
    this.stage = new Stage(model, canvas);
    this.orbit = new Orbit(canvas, this.home(), 2 * this.stage.reach, {
      changed: () => this.moved(),
      tapped: (x, y) => this.tap(x, y),
      key: (key) => this.key(key),
    });
    new ResizeObserver(() => this.fit()).observe(canvas.parentElement!);
    this.fit();
    this.orbit.stand.far = this.orbit.home.far = 0.95 * this.orbit.farFor(this.stage.reach);
    this.orbit.place();
  }

  whenChanged(listener: () => void): void {
    this.listeners.push(listener);
  }

  /** The state has changed: controls and picture follow. */
  changed(): void {
    for (const listener of this.listeners) listener();
    showCard(this.model, this.state);
    this.draw();
  }

  /** Draw with the next frame. */
  draw(): void {
    this.waiting ||= requestAnimationFrame(() => this.drawNow());
  }

  drawNow(): void {
    this.waiting = 0;
    this.stage.update(this.state);
    this.stage.render(this.state, this.orbit.camera, this.orbit.pixel);
    drawOverlay(this.over, this.orbit, this.state);
  }

  /**
   * Where one stands has changed. A browser that draws in software cannot keep up at full sharpness: it draws
   * coarsely while things move and sharply once they rest.
   */
  private moved(): void {
    const now = performance.now();
    const since = now - this.movedAt;
    this.movedAt = now;
    if (since < REST) this.late = since > SLOW ? this.late + 1 : Math.max(this.late - 1, 0);
    if (this.late > 3) this.sharpen(COARSE);
    clearTimeout(this.resting);
    this.resting = window.setTimeout(() => {
      this.late = Math.min(this.late, 4);
      this.sharpen(Math.min(devicePixelRatio, 2));
      this.draw();
    }, REST);
    this.draw();
  }

  private sharpen(ratio: number): void {
    if (this.stage.renderer.getPixelRatio() !== ratio) this.stage.renderer.setPixelRatio(ratio);
  }

  /** Draw and wait until it is done. */
  drawAndWait(): void {
    this.drawNow();
    const gl = this.stage.renderer.getContext();
    gl.readPixels(0, 0, 1, 1, gl.RGBA, gl.UNSIGNED_BYTE, new Uint8Array(4));
    this.firstFrame ||= performance.now();
  }

  /** What the picture shows now, for paper. */
  picture(): string {
    this.drawNow();
    const sheet = document.createElement("canvas");
    sheet.width = this.canvas.width;
    sheet.height = this.canvas.height;
    const pen = sheet.getContext("2d")!;
    pen.fillStyle = "#fff"; // paper, where the window has its sky
    pen.fillRect(0, 0, sheet.width, sheet.height);
    pen.drawImage(this.canvas, 0, 0);
    return sheet.toDataURL("image/jpeg", 0.9);
  }

  private fit(): void {
    const { clientWidth, clientHeight } = this.canvas.parentElement!;
    if (!clientWidth || !clientHeight) return;
    this.stage.renderer.setPixelRatio(Math.min(devicePixelRatio, 2));
    this.stage.renderer.setSize(clientWidth, clientHeight, false);
    this.over.setAttribute("viewBox", `0 0 ${clientWidth} ${clientHeight}`);
    this.orbit.place();
    this.draw();
  }

  private scene(): Scene {
    return {
      model: this.model,
      shown: this.stage.shown(this.state),
      plane: this.state.plane,
      faces: this.stage.faces,
    };
  }

  private tap(x: number, y: number): void {
    const scene = this.scene();
    const hit = pick(scene, this.orbit.ray(x, y));
    this.state.place = null;
    if (this.state.tool === "measure") {
      if (!hit) return;
      if (this.state.points.length === 2) this.state.points = [];
      if (!this.state.points.length) this.tapeWall = this.model.head.parts.wall[hit.part];
      this.state.points.push(snap(scene, hit, this.orbit.eye, (p) => this.orbit.screen(p)).point);
    } else {
      // What stands round the wall is scenery: there is nothing to say about it.
      this.state.picked = hit && hit.part < this.model.head.parts.own ? [hit.part] : [];
    }
    this.changed();
  }

  private key(key: string): boolean {
    if (key === "Escape") {
      this.state.picked = [];
      this.state.place = null;
      this.takeTape(false);
    } else if (key === "m" || key === "M") this.takeTape(this.state.tool !== "measure");
    else return false;
    return true;
  }

  takeTape(up: boolean): void {
    this.state.tool = up ? "measure" : "piece";
    this.state.points = [];
    if (up) this.state.picked = [];
    this.changed();
  }

  tapeWords(): string {
    return lengthWords(this.model, this.state.points, this.tapeWall);
  }

  // ---- where one stands

  /** Which way a wall looks, about y from +z towards +x. [rad] */
  private facing(wall: number): number {
    const out = wallAxis(this.model, wall, 2);
    return Math.atan2(out[0], out[2]);
  }

  private home(): Stand {
    const many = this.model.head.walls.length > 1;
    // A lone wall is looked at nearly square; of a building two walls are to be seen.
    return {
      target: this.stage.middle,
      far: 2.6 * this.stage.reach,
      turn: this.facing(0) + (many ? CORNER_TURN : 0.45),
      rise: HOME_RISE,
    };
  }

  flyHome(): void {
    this.orbit.fly(this.orbit.home);
  }

  private wallBox(wall: number): number[] {
    const { parts } = this.model.head;
    return boxRound(
      this.model,
      parts.wall.flatMap((own, part) => (own === wall && part < parts.own ? [part] : [])),
    );
  }

  faceWall(wall: number): void {
    const box = this.wallBox(wall);
    this.orbit.fly({ ...this.round(box), turn: this.facing(wall), rise: 0 });
  }

  faceFoot(): void {
    const one = this.model.head.walls[0];
    const origin = this.origin(0);
    const along = wallAxis(this.model, 0, 0);
    const target = [0, 1, 2].map((k) => origin[k] + along[k] * 0.3 * one.length + (k === 1 ? 180 : 0)) as Point;
    this.orbit.fly({ target, far: 1500, turn: this.facing(0) + 0.5, rise: -0.08 });
  }

  /** Square to the cut through one wall. */
  faceCut(wall: number): void {
    const { plane } = this.state;
    if (!plane) return;
    this.stage.update(this.state); // the saw may have moved since the last frame
    const points = this.stage.faces
      .filter((face) => face.part < this.model.head.parts.own && this.model.head.parts.wall[face.part] === wall)
      .flatMap((face) => face.rings.flat());
    const box = [Infinity, Infinity, Infinity, -Infinity, -Infinity, -Infinity];
    points.forEach((value, i) => {
      box[i % 3] = Math.min(box[i % 3], value);
      box[3 + (i % 3)] = Math.max(box[3 + (i % 3)], value);
    });
    if (!points.length) return;
    const [x, y, z] = plane.normal;
    const level = Math.hypot(x, z);
    const turn = level > 0.1 ? Math.atan2(x, z) : this.orbit.stand.turn;
    this.orbit.fly({ ...this.round(box), turn, rise: level > 0.1 ? 0 : Math.sign(y) * 1.5 });
  }

  private round(box: number[]): { target: Point; far: number } {
    const target = [0, 1, 2].map((k) => (box[k] + box[k + 3]) / 2) as Point;
    const radius = Math.hypot(...[0, 1, 2].map((k) => box[k + 3] - box[k])) / 2;
    return { target, far: Math.max(1.04 * this.orbit.farFor(radius), 300) };
  }

  // ---- pointing things out

  showParts(parts: number[]): void {
    this.state.picked = parts;
    this.state.place = null;
    const to = this.round(boxRound(this.model, parts));
    this.orbit.fly({ ...to, turn: this.facing(this.model.head.parts.wall[parts[0]]) + 0.3, rise: 0.08 });
    this.changed();
  }

  showFinding(i: number): void {
    const one = this.model.head.findings[i];
    const parts = one.marks.flatMap((mark) => this.model.partOf.get(mark) ?? []);
    if (!one.where) {
      if (parts.length) this.showParts(parts);
      return;
    }
    this.state.picked = parts;
    this.state.place = one.where;
    const wall = parts.length ? this.model.head.parts.wall[parts[0]] : Math.max(one.wall, 0);
    this.orbit.fly({ target: one.where, far: 1700, turn: this.facing(wall) + 0.35, rise: 0.1 });
    this.changed();
  }

  // ---- for the cut

  origin(wall: number): Point {
    const f = this.model.head.walls[wall].frame;
    return [f[3], f[7], f[11]];
  }

  /** From the back of a wall's studs to the front of its boards, out from the battens' face. [mm] */
  depth(wall: number): [number, number] {
    const out = wallAxis(this.model, wall, 2);
    const base = dot(out, this.origin(wall));
    const { parts } = this.model.head;
    let [back, front] = [Infinity, -Infinity];
    for (let part = 0; part < parts.own; part++) {
      if (parts.wall[part] !== wall) continue;
      const count = this.model.vertexStart[part + 1] - this.model.vertexStart[part];
      for (let v = 0; v < count; v++) {
        const z = dot(out, vertexOf(this.model, part, v)) - base;
        back = Math.min(back, z);
        front = Math.max(front, z);
      }
    }
    return [back, front];
  }
}
