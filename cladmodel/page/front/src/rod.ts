// The rod: a lath with every butt line on it, beside the picture. What is built so far is filled in;
// dragging along it builds the wall up and takes it down again.

import type { Model } from "./model";
import { svg } from "./overlay";

const WIDE = 46;
const HIGH = 1000;
/** Share of the lath's height below the foot, for what goes up before the boards; by eye. */
const BELOW = 0.24;

export class Rod {
  private readonly filled: SVGElement;
  private readonly heights: number[];

  constructor(
    model: Model,
    private readonly host: SVGSVGElement,
    chosen: (step: number) => void,
  ) {
    this.heights = heights(model);
    host.setAttribute("viewBox", `0 0 ${WIDE} ${HIGH}`);
    host.setAttribute("preserveAspectRatio", "none");
    this.filled = svg("rect", { x: 9, width: 14, class: "built" });
    host.append(svg("rect", { x: 9, y: 0, width: 14, height: HIGH, class: "lath" }), this.filled);
    const { stepCourses } = model.head;
    this.heights.forEach((y, step) => {
      const course = stepCourses[step];
      const numbered = isNumbered(model, course);
      host.append(svg("line", { x1: 9, x2: numbered ? 29 : 23, y1: y, y2: y, class: course ? "butt" : "before" }));
    });
    const drag = (e: PointerEvent): void => {
      const box = host.getBoundingClientRect();
      const y = ((e.clientY - box.top) / box.height) * HIGH;
      const off = this.heights.map((h) => Math.abs(h - y));
      chosen(off.indexOf(Math.min(...off)));
    };
    host.addEventListener("pointerdown", (e) => {
      host.setPointerCapture(e.pointerId);
      drag(e);
    });
    host.addEventListener("pointermove", (e) => {
      if (host.hasPointerCapture(e.pointerId)) drag(e);
    });
  }

  /** Numbers of courses, as HTML so that they keep their shape while the lath stretches. */
  static numbers(model: Model): HTMLElement[] {
    const { stepCourses } = model.head;
    return heights(model).flatMap((y, step) => {
      const course = stepCourses[step];
      if (!isNumbered(model, course)) return [];
      const out = document.createElement("span");
      out.textContent = String(course);
      out.style.top = `${(100 * y) / HIGH}%`;
      return [out];
    });
  }

  show(step: number): void {
    const y = this.heights[step];
    this.filled.setAttribute("y", String(y));
    this.filled.setAttribute("height", String(HIGH - y));
    this.host.dataset.step = String(step);
  }
}

/** The first course, the last, and every fifth that is not close to the last. */
function isNumbered(model: Model, course: number): boolean {
  const most = Math.max(...model.head.stepCourses);
  return course > 0 && (course === 1 || course === most || (course % 5 === 0 && most - course > 2));
}

/** Where each step stands on the lath: courses by their true butt lines, the rest evenly below and above. */
function heights(model: Model): number[] {
  const { steps, stepCourses, rod } = model.head;
  const first = stepCourses.findIndex((course) => course > 0);
  const before = first < 0 ? steps.length : first;
  const foot = first < 0 ? 20 : HIGH * (1 - BELOW);
  const low = rod[0] ?? 0;
  const high = rod[rod.length - 1] ?? 1;
  return steps.map((_, step) => {
    if (step < before) return HIGH - ((HIGH - foot) * (step + 1)) / (before + 1);
    const course = stepCourses[step];
    if (!course) return 12; // after the courses: at the very top
    const share = high > low ? (rod[course - 1] - low) / (high - low) : 0;
    return foot - share * (foot - 50);
  });
}
