// The picture: meshes, light, cut faces, what is picked out. Drawn when something changed, never else.

import {
  BackSide,
  BufferAttribute,
  BufferGeometry,
  CanvasTexture,
  Color,
  DirectionalLight,
  DoubleSide,
  Group,
  HemisphereLight,
  LineBasicMaterial,
  LineSegments,
  Mesh,
  MeshBasicMaterial,
  MeshLambertMaterial,
  PCFShadowMap,
  type PerspectiveCamera,
  Plane as ThreePlane,
  Scene,
  ShaderMaterial,
  Vector3,
  WebGLRenderer,
} from "three";
import { axesOf, type CutFace, cutParts, dot } from "./cut";
import { grain } from "./grain";
import { type Batch, batches, reach } from "./meshes";
import { boxRound, type Model, type Point, vertexOf, wallAxis } from "./model";
import { Nails } from "./nails";
import { isShown, type State } from "./state";

const TIMBER = new Set(["board", "post", "trim", "batten", "frame"]);
const CHALK = "#1668b8"; // a chalk line's blue: what is picked out
// Butts throw shadows a few millimetres high: a small map makes teeth of them. Small windows
// and machines that draw in software get a smaller one. [pixels]
const SHADOW_MAP = { wide: 4096, small: 2048 };
const SUN = 2.75; // light on a surface square to the sun, where 3.14 gives back its colour; by eye
const SKY = 1.5;
const YARD = 900; // of lawn round all that stands is quite solid: gravel and edging lie in it. [mm]

interface Drawn {
  batch: Batch;
  faces: Mesh;
  lines: LineSegments;
  material: MeshLambertMaterial;
}

export class Stage {
  readonly renderer: WebGLRenderer;
  faces: CutFace[] = [];
  private readonly scene = new Scene();
  private readonly clip = new ThreePlane(new Vector3(0, 0, 1), 0);
  /** Shared by all materials: empty, or holding the one plane. */
  private readonly planes: ThreePlane[] = [];
  private readonly drawn: Drawn[] = [];
  private readonly sun = new DirectionalLight(0xffffff, 1);
  private readonly sky = new HemisphereLight(0xffffff, 0xffffff, 1);
  private readonly cutMesh: Mesh<BufferGeometry, ShaderMaterial>;
  private readonly cutLines: LineSegments;
  private readonly strip = grain();
  private readonly picked = new Group();
  private readonly nails: Nails;
  private readonly fixingLayer: number;
  /** Round all that stands, without the ground. */
  readonly box: number[];
  private drawnKey = "";
  private pickedKey = "";

  constructor(
    readonly model: Model,
    canvas: HTMLCanvasElement,
  ) {
    this.renderer = new WebGLRenderer({ canvas, antialias: true, alpha: true });
    this.renderer.localClippingEnabled = true;
    this.renderer.shadowMap.enabled = true;
    this.renderer.shadowMap.type = PCFShadowMap;
    this.renderer.shadowMap.autoUpdate = false;
    const ground = new Set(["ground", "lawn"]);
    const stands = (part: number): boolean => !ground.has(model.head.materials[model.head.parts.material[part]].name);
    this.box = boxRound(model, range(model.count).filter(stands));
    this.addParts();
    const nails = new Group();
    this.nails = new Nails(model, nails, this.planes);
    this.fixingLayer = model.head.layers.findIndex((layer) => layer.name === "fixings");
    this.cutMesh = new Mesh(new BufferGeometry(), hatch());
    this.cutLines = new LineSegments(new BufferGeometry(), new LineBasicMaterial({ color: "#1d1a16" }));
    this.cutMesh.frustumCulled = this.cutLines.frustumCulled = false;
    this.addSun();
    this.scene.add(nails, this.cutMesh, this.cutLines, this.picked, this.sky);
  }

  get reach(): number {
    const b = this.box;
    return Math.hypot(b[3] - b[0], b[4] - b[1], b[5] - b[2]) / 2;
  }

  get middle(): Point {
    const b = this.box;
    return [(b[0] + b[3]) / 2, (b[1] + b[4]) / 2, (b[2] + b[5]) / 2];
  }

  shown(state: State): (part: number) => boolean {
    return (part) => isShown(this.model, state, part);
  }

  private addParts(): void {
    for (const batch of batches(this.model)) {
      const name = this.model.head.materials[batch.material].name;
      const material = new MeshLambertMaterial({
        vertexColors: true,
        // The lawn is not sawn through: what was cut still stands on something.
        clippingPlanes: name === "lawn" ? null : this.planes,
        clipShadows: true,
        polygonOffset: true,
        polygonOffsetFactor: 1,
        polygonOffsetUnits: 1,
        transparent: name === "glass" || name === "lawn",
        opacity: name === "glass" ? 0.55 : 1,
        alphaMap: name === "lawn" ? fading(this.yard(batch)) : null,
      });
      const faces = new Mesh(batch.faces, material);
      faces.castShadow = name !== "glass" && name !== "lawn";
      faces.receiveShadow = name !== "glass";
      const lines = new LineSegments(
        batch.lines,
        new LineBasicMaterial({
          color: "#1b140d",
          transparent: true,
          opacity: 0.42,
          clippingPlanes: this.planes,
        }),
      );
      this.scene.add(faces, lines);
      this.drawn.push({ batch, faces, lines, material });
    }
  }

  /** Share of the lawn's reach within which something stands or lies. */
  private yard(batch: Batch): number {
    batch.faces.computeBoundingBox();
    const lawn = batch.faces.boundingBox!;
    const b = this.box;
    const half = Math.min(lawn.max.x - lawn.min.x, lawn.max.z - lawn.min.z) / 2;
    return Math.min((Math.hypot(b[3] - b[0], b[5] - b[2]) / 2 + YARD) / half, 0.8);
  }

  private addSun(): void {
    const size = this.reach * 1.05;
    this.sun.castShadow = true;
    const wide = innerWidth > 1000 && !drawsInSoftware(this.renderer);
    const side = Math.min(wide ? SHADOW_MAP.wide : SHADOW_MAP.small, this.renderer.capabilities.maxTextureSize);
    this.sun.shadow.mapSize.set(side, side);
    this.sun.shadow.radius = 2;
    Object.assign(this.sun.shadow.camera, {
      left: -size,
      right: size,
      top: size,
      bottom: -size,
      near: 1,
      far: 6 * size,
    });
    this.sun.shadow.bias = -0.0004;
    this.sun.shadow.normalBias = 6; // [mm]
    this.sun.target.position.set(...this.middle);
    this.scene.add(this.sun, this.sun.target);
  }

  /** Bring everything into line with the state. */
  update(state: State): void {
    const key = JSON.stringify([state.layers, state.step, state.finish, state.sun, state.plane]);
    if (key !== this.drawnKey) {
      this.drawnKey = key;
      for (const one of this.drawn) this.showBatch(one, state);
      this.shine(state);
      this.cut(state);
      this.renderer.shadowMap.needsUpdate = true;
      this.pickedKey = "";
    }
    const picked = JSON.stringify(state.picked);
    if (picked !== this.pickedKey) {
      this.pickedKey = picked;
      this.pickOut(state);
    }
  }

  render(state: State, camera: PerspectiveCamera, pixel: number): void {
    this.nails.update(this.model, state, this.fixingLayer, pixel);
    this.cutMesh.material.uniforms.pixel.value = pixel;
    this.renderer.render(this.scene, camera);
  }

  private showBatch({ batch, faces, lines, material }: Drawn, state: State): void {
    const { head } = this.model;
    const on = state.layers[batch.layer];
    const { name, colour } = head.materials[batch.material];
    faces.visible = on;
    lines.visible = on && name !== "ground" && name !== "lawn";
    batch.faces.setDrawRange(0, reach(batch.steps, batch.facesTo, state.step));
    batch.lines.setDrawRange(0, reach(batch.steps, batch.linesTo, state.step));
    const finish = head.finishes[state.finish];
    material.color.set(finish.colours[name] ?? colour);
    const map = TIMBER.has(name) && !(finish.opaque && name in finish.colours) ? this.strip : null;
    if (map !== material.map) {
      material.map = map;
      material.needsUpdate = true;
    }
  }

  private shine(state: State): void {
    const sun = this.model.head.suns[state.sun];
    const out = wallAxis(this.model, 0, 2);
    const right = wallAxis(this.model, 0, 0);
    const level = Math.cos(sun.altitude);
    const way = [0, 1, 2].map(
      (k) => level * (Math.cos(sun.azimuth) * out[k] + Math.sin(sun.azimuth) * right[k]) + (k === 1 ? Math.sin(sun.altitude) : 0),
    );
    const far = 3 * this.reach;
    this.sun.position.set(...this.middle).add(new Vector3(way[0], way[1], way[2]).multiplyScalar(far));
    this.sun.intensity = SUN * sun.strength;
    this.sun.castShadow = sun.strength > 0;
    this.sun.color.set("#ffffff").lerp(new Color("#ffc58a"), sun.warmth);
    this.sky.intensity = SKY * sun.sky;
    this.sky.color.set("#dbe6f5");
    this.sky.groundColor.set("#9b9079");
  }

  private cut(state: State): void {
    this.planes.length = 0;
    this.faces = [];
    const { plane } = state;
    this.cutMesh.visible = this.cutLines.visible = plane !== null;
    if (!plane) return;
    this.clip.normal.set(...plane.normal).negate();
    this.clip.constant = plane.at;
    this.planes.push(this.clip);
    const { head } = this.model;
    const lawn = head.materials.findIndex((one) => one.name === "lawn");
    const shown = this.shown(state);
    this.faces = cutParts(this.model, plane, (part) => head.parts.material[part] !== lawn && shown(part));
    const [u, v] = axesOf(plane.normal);
    const position: number[] = [];
    const flat: number[] = [];
    const colour: number[] = [];
    const lean: number[] = [];
    const lines: number[] = [];
    for (const face of this.faces) {
      const { name, colour: plain } = head.materials[head.parts.material[face.part]];
      const paint = new Color(head.finishes[state.finish].colours[name] ?? plain);
      // Neighbours are told apart by the way their hatching leans.
      const way = (head.parts.course[face.part] + face.part) % 2 ? 1 : -1;
      for (let i = 0; i < face.triangles.length; i += 3) {
        const point: Point = [face.triangles[i], face.triangles[i + 1], face.triangles[i + 2]];
        position.push(...point);
        flat.push(dot(u, point), dot(v, point));
        colour.push(paint.r, paint.g, paint.b);
        lean.push(way);
      }
      for (const ring of face.rings) {
        for (let i = 0; i < ring.length; i += 3) {
          const j = (i + 3) % ring.length;
          lines.push(ring[i], ring[i + 1], ring[i + 2], ring[j], ring[j + 1], ring[j + 2]);
        }
      }
    }
    this.cutMesh.geometry.dispose();
    this.cutMesh.geometry = geometry({ position: [position, 3], place: [flat, 2], paint: [colour, 3], lean: [lean, 1] });
    this.cutLines.geometry.dispose();
    this.cutLines.geometry = geometry({ position: [lines, 3] });
  }

  private pickOut(state: State): void {
    for (const child of [...this.picked.children] as (Mesh | LineSegments)[]) {
      child.geometry.dispose();
      this.picked.remove(child);
    }
    for (const part of state.picked) {
      const faces: number[] = [];
      for (let f = this.model.triangleStart[part]; f < this.model.triangleStart[part + 1]; f++) {
        for (let k = 0; k < 3; k++) faces.push(...vertexOf(this.model, part, this.model.triangles[3 * f + k]));
      }
      const lines = [...this.model.arrises[part]].flatMap((vertex) => vertexOf(this.model, part, vertex));
      const solid = geometry({ position: [faces, 3] });
      const look = { color: CHALK, transparent: true, clippingPlanes: this.planes };
      this.picked.add(
        new Mesh(solid, new MeshBasicMaterial({ ...look, opacity: 0.42, side: DoubleSide })),
        // Seen faintly through whatever stands in front.
        new Mesh(solid, new MeshBasicMaterial({ ...look, opacity: 0.16, depthTest: false, side: BackSide })),
        new LineSegments(
          geometry({ position: [lines, 3] }),
          new LineBasicMaterial({ ...look, opacity: 0.9, depthTest: false }),
        ),
      );
    }
  }
}

function drawsInSoftware(renderer: WebGLRenderer): boolean {
  const gl = renderer.getContext();
  const named = gl.getExtension("WEBGL_debug_renderer_info");
  const name: unknown = gl.getParameter(named ? named.UNMASKED_RENDERER_WEBGL : gl.RENDERER);
  return /swiftshader|llvmpipe|softpipe|software/i.test(String(name));
}

function geometry(attributes: Record<string, [number[], number]>): BufferGeometry {
  const out = new BufferGeometry();
  for (const [name, [values, size]] of Object.entries(attributes)) {
    out.setAttribute(name, new BufferAttribute(Float32Array.from(values), size));
  }
  return out;
}

function range(count: number): number[] {
  return Array.from({ length: count }, (_, i) => i);
}

/** The lawn has no edge: from some share of its reach on it thins out. */
function fading(from: number): CanvasTexture {
  const size = 256;
  const canvas = document.createElement("canvas");
  canvas.width = canvas.height = size;
  const pen = canvas.getContext("2d")!;
  const shade = pen.createRadialGradient(size / 2, size / 2, 0, size / 2, size / 2, size / 2);
  shade.addColorStop(from, "#fff");
  shade.addColorStop((from + 1) / 2, "#888");
  shade.addColorStop(0.99, "#000");
  pen.fillStyle = shade;
  pen.fillRect(0, 0, size, size);
  return new CanvasTexture(canvas);
}

/** Cut faces: pale, with slanting lines that keep about the same distance on the screen. */
function hatch(): ShaderMaterial {
  return new ShaderMaterial({
    uniforms: { pixel: { value: 1 } },
    side: DoubleSide,
    vertexShader: `
      attribute vec2 place; attribute vec3 paint; attribute float lean;
      varying vec2 at; varying vec3 colour; varying float way;
      void main() {
        at = place; colour = paint; way = lean;
        gl_Position = projectionMatrix * modelViewMatrix * vec4(position, 1.0);
      }`,
    fragmentShader: `
      uniform float pixel;
      varying vec2 at; varying vec3 colour; varying float way;
      void main() {
        float apart = exp2(ceil(log2(9.0 * pixel)));
        float across = (at.x + way * at.y) * 0.70711 / apart;
        float off = abs(fract(across) - 0.5) * apart;
        float line = 1.0 - smoothstep(0.6 * pixel, 1.4 * pixel, off);
        vec3 pale = mix(colour, vec3(1.0), 0.45);
        gl_FragColor = vec4(mix(pale, vec3(0.035, 0.026, 0.02), line), 1.0);
        #include <colorspace_fragment>
      }`,
  });
}
