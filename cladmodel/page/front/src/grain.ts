// Grain of sawn softwood, drawn once: one strip that is laid along every piece of timber.

import { CanvasTexture, RepeatWrapping, SRGBColorSpace } from "three";

const WIDE = 1024;
const HIGH = 256;
/** Length and width of timber that the strip covers. [mm] */
export const STRIP = { along: 2400, across: 420 };

/** Even numbers from 0 to 1 that are the same on every machine. */
export function dealer(seed: number): () => number {
  let state = seed;
  return () => {
    state = (state * 16807) % 2147483647; // Park and Miller's generator, from memory
    return state / 2147483647;
  };
}

export function grain(): CanvasTexture {
  const canvas = document.createElement("canvas");
  canvas.width = WIDE;
  canvas.height = HIGH;
  const pen = canvas.getContext("2d")!;
  pen.fillStyle = "#f4f4f4";
  pen.fillRect(0, 0, WIDE, HIGH);
  const deal = dealer(20071);
  for (let ring = 0; ring < 210; ring++) {
    const y = deal() * HIGH;
    const grey = Math.round(150 + deal() * 80);
    pen.strokeStyle = `rgba(${grey},${grey - 6},${grey - 12},${0.12 + deal() * 0.3})`;
    pen.lineWidth = 0.6 + deal() * deal() * 3.5;
    const sway = 1 + deal() * 5;
    const turns = 1 + Math.floor(deal() * 2);
    const phase = deal() * 6.28;
    for (const shift of [-HIGH, 0, HIGH]) {
      pen.beginPath();
      for (let x = 0; x <= WIDE; x += 32) {
        // Whole turns over the length, so that the strip's ends meet.
        pen.lineTo(x, y + shift + sway * Math.sin((2 * Math.PI * turns * x) / WIDE + phase));
      }
      pen.stroke();
    }
  }
  for (let knot = 0; knot < 5; knot++) {
    const x = (0.08 + 0.84 * deal()) * WIDE;
    const y = (0.1 + 0.8 * deal()) * HIGH;
    const size = 4 + deal() * 6;
    const shade = pen.createRadialGradient(x, y, 0, x, y, 2 * size);
    shade.addColorStop(0, "rgba(70,45,30,.75)");
    shade.addColorStop(0.45, "rgba(110,80,55,.45)");
    shade.addColorStop(1, "rgba(150,120,90,0)");
    pen.fillStyle = shade;
    pen.fillRect(x - 2 * size, y - 2 * size, 4 * size, 4 * size);
  }
  const texture = new CanvasTexture(canvas);
  texture.wrapS = texture.wrapT = RepeatWrapping;
  texture.colorSpace = SRGBColorSpace;
  texture.anisotropy = 4;
  return texture;
}
