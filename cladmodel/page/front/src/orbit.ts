// Standing somewhere and looking: turning, nearing and shifting by mouse, fingers and keys; flying to a place.

import { PerspectiveCamera, Vector3 } from "three";
import type { Point } from "./model";
import type { Ray } from "./pick";

export interface Stand {
  /** What is looked at. [mm] */
  target: Point;
  /** Distance from it. [mm] */
  far: number;
  /** Where one stands, about y from +z towards +x; and how far above. [rad] */
  turn: number;
  rise: number;
}

const ANGLE = 32; // field of view up and down. [deg], by eye: little distortion
const STEEPEST = 1.5;
const LOWEST = -0.6;
const PER_PIXEL = 0.006; // [rad]
const KEY_TURN = 0.09; // [rad]
const STILL = 6; // a tap may slip this far. [pixels]
const FLIGHT = 650; // [ms]

export interface Hands {
  changed: () => void;
  tapped: (x: number, y: number) => void;
  key: (key: string) => boolean;
}

export class Orbit {
  readonly camera = new PerspectiveCamera(ANGLE, 1, 1, 1);
  stand: Stand;
  flying = false;
  private readonly fingers = new Map<number, { x: number; y: number }>();
  private slipped = 0;
  private flight = 0;

  constructor(
    private readonly canvas: HTMLCanvasElement,
    readonly home: Stand,
    private readonly size: number,
    private readonly hands: Hands,
  ) {
    this.stand = { ...home };
    canvas.addEventListener("pointerdown", (e) => this.down(e));
    canvas.addEventListener("pointermove", (e) => this.move(e));
    canvas.addEventListener("pointerup", (e) => this.up(e));
    canvas.addEventListener("pointercancel", (e) => this.fingers.delete(e.pointerId));
    canvas.addEventListener("contextmenu", (e) => e.preventDefault());
    canvas.addEventListener("wheel", (e) => this.wheel(e), { passive: false });
    canvas.addEventListener("keydown", (e) => {
      if (this.press(e)) e.preventDefault();
    });
    this.place();
  }

  /** Size of a pixel at what is looked at. [mm] */
  get pixel(): number {
    return (2 * this.stand.far * Math.tan((ANGLE * Math.PI) / 360)) / Math.max(this.canvas.clientHeight, 1);
  }

  get eye(): Point {
    return this.camera.position.toArray();
  }

  place(): void {
    const { target, far, turn, rise } = this.stand;
    const level = Math.cos(rise);
    this.camera.position.set(
      target[0] + far * level * Math.sin(turn),
      target[1] + far * Math.sin(rise),
      target[2] + far * level * Math.cos(turn),
    );
    this.camera.aspect = this.canvas.clientWidth / Math.max(this.canvas.clientHeight, 1);
    this.camera.near = Math.max(0.02 * far, 5);
    this.camera.far = far + 4 * this.size;
    this.camera.lookAt(...target);
    this.camera.updateProjectionMatrix();
    this.camera.updateMatrixWorld();
  }

  /** Far enough to see a ball of this radius. [mm] */
  farFor(radius: number): number {
    const aspect = this.canvas.clientWidth / Math.max(this.canvas.clientHeight, 1);
    const half = Math.tan((ANGLE * Math.PI) / 360) * Math.min(1, aspect);
    return radius / Math.sin(Math.atan(half));
  }

  fly(to: Stand): void {
    this.land();
    this.flying = true;
    const from = { ...this.stand };
    // The short way round.
    const round = to.turn + 2 * Math.PI * Math.round((from.turn - to.turn) / (2 * Math.PI));
    const still = matchMedia("(prefers-reduced-motion: reduce)").matches;
    const start = performance.now();
    const step = (now: number): void => {
      const share = still ? 1 : Math.min(Math.max((now - start) / FLIGHT, 0), 1);
      const s = share * share * (3 - 2 * share);
      const mix = (a: number, b: number): number => a + s * (b - a);
      this.stand = {
        target: [0, 1, 2].map((k) => mix(from.target[k], to.target[k])) as Point,
        far: Math.exp(mix(Math.log(from.far), Math.log(to.far))),
        turn: mix(from.turn, round),
        rise: mix(from.rise, to.rise),
      };
      this.changed();
      this.flying = share < 1;
      if (this.flying) this.flight = requestAnimationFrame(step);
    };
    this.flight = requestAnimationFrame(step);
  }

  ray(x: number, y: number): Ray {
    const near = new Vector3(
      (2 * x) / this.canvas.clientWidth - 1,
      1 - (2 * y) / this.canvas.clientHeight,
      0.5,
    ).unproject(this.camera);
    const from = this.camera.position;
    return { from: from.toArray(), way: near.sub(from).normalize().toArray() };
  }

  screen(point: Point): { x: number; y: number; behind: boolean } {
    const at = new Vector3(...point).project(this.camera);
    return {
      x: ((at.x + 1) / 2) * this.canvas.clientWidth,
      y: ((1 - at.y) / 2) * this.canvas.clientHeight,
      behind: at.z > 1,
    };
  }

  /** Stay where one is. */
  private land(): void {
    cancelAnimationFrame(this.flight);
    this.flying = false;
  }

  private changed(): void {
    this.place();
    this.hands.changed();
  }

  private turnBy(x: number, y: number): void {
    this.land();
    this.stand.turn -= x;
    this.stand.rise = Math.min(Math.max(this.stand.rise + y, LOWEST), STEEPEST);
    this.changed();
  }

  private near(factor: number): void {
    this.land();
    this.stand.far = Math.min(Math.max(this.stand.far * factor, 60), 12 * this.size);
    this.changed();
  }

  private shift(x: number, y: number): void {
    this.land();
    const [right, up] = [new Vector3(), new Vector3()];
    this.camera.matrixWorld.extractBasis(right, up, new Vector3());
    const by = this.pixel;
    const move = right.multiplyScalar(-x * by).add(up.multiplyScalar(y * by));
    this.stand.target = [0, 1, 2].map((k) => this.stand.target[k] + move.getComponent(k)) as Point;
    this.changed();
  }

  private down(e: PointerEvent): void {
    this.canvas.setPointerCapture(e.pointerId);
    if (!this.fingers.size) this.slipped = 0;
    this.fingers.set(e.pointerId, { x: e.offsetX, y: e.offsetY });
  }

  private move(e: PointerEvent): void {
    const was = this.fingers.get(e.pointerId);
    if (!was) return;
    const before = this.span();
    const now = { x: e.offsetX, y: e.offsetY };
    this.fingers.set(e.pointerId, now);
    this.slipped += Math.hypot(now.x - was.x, now.y - was.y);
    if (this.slipped < STILL) return;
    if (this.fingers.size === 1) {
      if (e.buttons & 6 || e.shiftKey) this.shift(now.x - was.x, now.y - was.y);
      else this.turnBy((now.x - was.x) * PER_PIXEL, (now.y - was.y) * PER_PIXEL);
      return;
    }
    const after = this.span();
    if (before.wide > 0 && after.wide > 0) this.near(before.wide / after.wide);
    this.shift(after.x - before.x, after.y - before.y);
  }

  private span(): { x: number; y: number; wide: number } {
    const [a, b = a] = [...this.fingers.values()];
    return { x: (a.x + b.x) / 2, y: (a.y + b.y) / 2, wide: Math.hypot(a.x - b.x, a.y - b.y) };
  }

  private up(e: PointerEvent): void {
    const alone = this.fingers.size === 1;
    if (this.fingers.delete(e.pointerId) && alone && this.slipped < STILL) this.hands.tapped(e.offsetX, e.offsetY);
  }

  private wheel(e: WheelEvent): void {
    // Without a click first, a wheel over the picture scrolls the page as anywhere else.
    if (document.activeElement !== this.canvas && !e.ctrlKey) return;
    e.preventDefault();
    this.near(Math.exp(Math.min(Math.max(e.deltaY, -100), 100) * 0.002));
  }

  private press(e: KeyboardEvent): boolean {
    const ways: Record<string, [number, number]> = {
      ArrowLeft: [1, 0],
      ArrowRight: [-1, 0],
      ArrowUp: [0, 1],
      ArrowDown: [0, -1],
    };
    const way = ways[e.key];
    if (way && e.shiftKey) this.shift(40 * way[0], 40 * way[1]);
    else if (way) this.turnBy(KEY_TURN * way[0], KEY_TURN * way[1]);
    else if (e.key === "+" || e.key === "=") this.near(0.85);
    else if (e.key === "-") this.near(1 / 0.85);
    else if (e.key === "Home") this.fly(this.home);
    else if (e.key === "Enter") this.hands.tapped(this.canvas.clientWidth / 2, this.canvas.clientHeight / 2);
    else return this.hands.key(e.key);
    return true;
  }
}
