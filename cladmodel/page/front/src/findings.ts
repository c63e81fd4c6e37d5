// Findings and marks in the tables become buttons that fly to what they speak of.

import { element } from "./panel";
import type { Viewer } from "./viewer";

const URGENT = ["fail", "caution", "not_assessed", "ok"];
const WORDS: Record<string, string> = { fail: "fails", caution: "watch", not_assessed: "not assessed", ok: "sound" };

export function bindFindings(viewer: Viewer): void {
  const { findings } = viewer.model.head;
  const list = element("checks-list");
  const count = findings.filter((one) => one.verdict === "fail" || one.verdict === "caution").length;
  const drawer = element<HTMLDetailsElement>("checks-drawer");
  drawer.querySelector("summary")!.textContent = count ? `Checks: ${count} to look at` : "Checks: all sound";
  const order = findings.map((_, i) => i).sort((a, b) => rank(findings[a].verdict) - rank(findings[b].verdict) || a - b);
  for (const i of order) {
    const line = document.querySelector<HTMLElement>(`[data-finding="${i}"]`);
    if (!line) continue;
    const one = findings[i];
    const flies = one.where !== null || one.marks.length > 0;
    const show = (): void => viewer.showFinding(i);
    const item = document.createElement("li");
    item.dataset.verdict = one.verdict;
    const name = line.querySelector("b")?.textContent ?? "";
    const text = line.querySelector("span")?.textContent ?? "";
    const words = document.createElement(flies ? "button" : "span");
    const verdict = document.createElement("b");
    verdict.textContent = `${name}, ${WORDS[one.verdict] ?? one.verdict}: `;
    words.append(verdict, text);
    if (words instanceof HTMLButtonElement) {
      words.type = "button";
      words.addEventListener("click", show);
      line.append(" ", button("Show", `Show: ${text}`, show));
    }
    item.append(words);
    list.append(item);
  }
  for (const cell of document.querySelectorAll<HTMLElement>("[data-mark]")) {
    const part = viewer.model.partOf.get(cell.dataset.mark ?? "");
    if (part === undefined) continue;
    const mark = button(cell.dataset.mark ?? "", `Show ${cell.dataset.mark}`, () => viewer.showParts([part]));
    mark.className = "mark";
    cell.replaceChildren(mark);
  }
}

function rank(verdict: string): number {
  const at = URGENT.indexOf(verdict);
  return at < 0 ? URGENT.length : at;
}

function button(words: string, label: string, pressed: () => void): HTMLButtonElement {
  const out = document.createElement("button");
  out.type = "button";
  out.textContent = words;
  out.setAttribute("aria-label", label);
  out.addEventListener("click", () => {
    element("bench").scrollIntoView({ block: "start" });
    pressed();
  });
  return out;
}
