// Starts when the page is read: unpacks the model, puts the controls in and draws. If anything of that cannot
// be done here, the picture and the tables stay as they are.

import controls from "./controls.html";
import { bindFindings } from "./findings";
import { readModel } from "./model";
import { bindPanel, element } from "./panel";
import { Viewer } from "./viewer";

declare global {
  interface Window {
    /** For tests and benchmarks. */
    cladmodelPage?: { viewer: Viewer; frames: (count: number) => number };
  }
}

async function start(): Promise<void> {
  const bench = element("bench");
  const model = await readModel(element("model"));
  const holder = document.createElement("div");
  holder.id = "work";
  holder.innerHTML = controls; // our own text, nothing of a job in it
  holder.querySelector("form")!.addEventListener("submit", (e) => e.preventDefault());
  bench.append(holder);
  bench.classList.add("live");
  try {
    const viewer = new Viewer(model, element<HTMLCanvasElement>("canvas"));
    bindPanel(viewer);
    bindFindings(viewer);
    foldOnSmall(holder);
    viewer.drawAndWait();
    printable(viewer, bench);
    window.cladmodelPage = { viewer, frames: (count) => time(viewer, count) };
    document.documentElement.dataset.ready = "yes";
  } catch (error) {
    holder.remove();
    bench.classList.remove("live");
    throw error;
  }
}

/** In a phone's window one drawer is open at first, so that the picture and the tray are both seen. */
function foldOnSmall(holder: HTMLElement): void {
  if (!matchMedia("(max-width: 800px)").matches) return;
  holder.querySelectorAll("details").forEach((drawer, i) => {
    drawer.open = i === 0;
  });
}

function printable(viewer: Viewer, bench: HTMLElement): void {
  const image = document.createElement("img");
  image.id = "printed";
  image.alt = "";
  bench.append(image);
  addEventListener("beforeprint", () => {
    image.src = viewer.picture();
  });
}

/** Mean time of a frame, turning a little each time and waiting until it is really drawn. [ms] */
function time(viewer: Viewer, count: number): number {
  const start = performance.now();
  for (let i = 0; i < count; i++) {
    viewer.orbit.stand.turn += 0.01;
    viewer.orbit.place();
    viewer.drawAndWait();
  }
  return (performance.now() - start) / count;
}

start().catch((error: unknown) => {
  const words = document.getElementById("without");
  if (words) words.textContent = "The model cannot be shown in this browser; the picture, figures and tables can.";
  console.warn("the model cannot be shown:", error);
});
