// An arm that is drawn as the surfaces that its file names. All of this is loaded when an arm has some.
import { BufferAttribute, BufferGeometry, Color, CylinderGeometry, SphereGeometry, Vector3 } from "three";
import { mergeGeometries } from "three/addons/utils/BufferGeometryUtils.js";
import { byId, make } from "../basics/dom";
import { recall, remember } from "../basics/remember";
import { say, sayAlso } from "../basics/say";
import { keep, keptFiles } from "./keep";
import { coloured } from "../view/merged";
import { armColours } from "../view/palette";
import { matrixOf, turnFromZ } from "../view/place";
import type { View } from "../view/view";
import type { ArmMessage, Capsule } from "../wire";
import type { Done, Failure, Job } from "./wire";

/** How long files may take to be read. */
const PATIENCE_MS = 60_000;
/** The learner's own arm, whose files no server has. */
const OWN = "own-arm";

/** What an arm is drawn as: a shape for each link that has one, and for tools by their names. */
export interface Dress {
  links: (BufferGeometry | null)[];
  tools: Map<string, BufferGeometry>;
}

/** What has been read last. */
let kept: { of: string; meshes: Dress; failures: Failure[] } | null = null;
let own: ReadonlyMap<string, Blob> | null = null; // of the learner's own arm; null where it has not been looked what is kept
let turn = 0; // counts the arms that were shown
let bodies: Dress | null = null; // of the arm that is shown

/** Takes the files for the meshes of the learner's own arm, by their paths beside its arm file, and keeps them on this device. */
export async function take(files: ReadonlyMap<string, Blob>): Promise<void> {
  own = files;
  await keep(files);
}

/** Draws the arm that is shown now as its meshes, or as its bodies where the viewer wants those. */
export async function dress(view: View, arm: ArmMessage): Promise<void> {
  const mine = ++turn;
  forget(bodies);
  bodies = null;
  const panel = await choice();
  panel.hidden = arm.meshes.length === 0;
  if (arm.meshes.length === 0) return;
  if (arm.id === OWN) own ??= await keptFiles();
  const of = JSON.stringify([arm.id, arm.meshes, arm.id === OWN && [...own!].map(([name, { size }]) => [name, size])]);
  if (kept?.of !== of) {
    const { surfaces, failures } = await readAll(arm);
    if (mine !== turn) return;
    forget(kept?.meshes ?? null);
    const shapes = new Map(surfaces.map((s) => [s.by, shapeOf(s)]));
    kept = { of, meshes: { links: arm.joints.concat(arm.joints[0]!).map((_, i) => shapes.get(String(i)) ?? null), tools: new Map(arm.tools.flatMap(({ name }) => (shapes.has(`tool ${name}`) ? [[name, shapes.get(`tool ${name}`)!]] : []))) }, failures };
  }
  const { meshes, failures } = kept;
  const select = byId<HTMLSelectElement>("draw-as");
  const draw = (): void => {
    if (mine !== turn) return;
    if (select.value === "bodies") view.dress(arm, (bodies ??= bodiesOf(arm)));
    else view.dress(arm, meshes);
  };
  select.onchange = () => {
    remember("draw-as", select.value);
    draw();
  };
  const told = failures.filter((f, i) => failures.findIndex((other) => other.file === f.file) === i);
  byId("draw-as-failed").replaceChildren(...told.map((f) => make("li", {}, say(f.why, f.values))));
  draw();
}

/** The choice of how the arm is drawn, which is put on the page when it is first wanted. */
async function choice(): Promise<HTMLElement> {
  const there = document.getElementById("draw-as-panel");
  if (there) return there;
  await sayAlso("arms");
  const again = document.getElementById("draw-as-panel");
  if (again) return again;
  const select = make("select", { id: "draw-as" }, make("option", { value: "meshes" }, say("mesh.drawn.meshes")), make("option", { value: "bodies" }, say("mesh.drawn.bodies")));
  select.value = recall("draw-as") === "bodies" ? "bodies" : "meshes";
  const label = make("label", {}, make("span", {}, say("mesh.drawn")), select);
  label.dataset["help"] = "meshes";
  const panel = make("div", { id: "draw-as-panel", className: "choices" }, label, make("ul", { id: "draw-as-failed", className: "note" }));
  byId("hand").closest(".choices")!.after(panel);
  return panel;
}

/** Reads all files in a worker, which is ended when it takes too long. */
function readAll(arm: ArmMessage): Promise<Done> {
  const grey = armColours.clay.getHex();
  const job: Job = {
    meshes: arm.meshes.map((m) => ({
      file: m.file,
      by: m.tool ? `tool ${m.tool}` : String(m.link),
      place: matrixOf(m.at).scale(new Vector3(...m.scale)).toArray(),
      colour: m.colour ? new Color(m.colour).getHex() : grey,
    })),
    folder: arm.id === OWN ? "" : new URL(`arms/${encodeURIComponent(arm.id)}/`, document.baseURI).href,
    files: arm.id === OWN ? (own ?? new Map<string, Blob>()) : new Map<string, Blob>(),
  };
  return new Promise((done) => {
    const worker = new Worker(new URL("meshes.js", import.meta.url), { type: "module" });
    const end = (result: Done): void => {
      window.clearTimeout(timer);
      worker.terminate();
      done(result);
    };
    const none = (why: "mesh.late" | "mesh.unread", error: string): void => end({ surfaces: [], failures: job.meshes.map(({ file, by }) => ({ file, by, why, values: { file, error } })) });
    const timer = window.setTimeout(() => none("mesh.late", ""), PATIENCE_MS);
    worker.onmessage = ({ data }: MessageEvent<Done>) => end(data);
    worker.onerror = ({ message }) => none("mesh.unread", message ?? "");
    worker.postMessage(job);
  });
}

function shapeOf({ position, normal, color, index }: Omit<Done["surfaces"][number], "by">): BufferGeometry {
  const shape = new BufferGeometry();
  for (const [name, array] of Object.entries({ position, normal, color })) shape.setAttribute(name, new BufferAttribute(array, 3));
  return shape.setIndex(new BufferAttribute(index, 1));
}

/** The bodies that can touch, just as they are computed with: cylinders with round ends. A link without any is not there, unless none has one. */
function bodiesOf(arm: ArmMessage): Dress {
  const nothing = (): BufferGeometry => shapeOf({ position: new Float32Array(), normal: new Float32Array(), color: new Float32Array(), index: new Uint32Array() });
  const whole = (body: readonly Capsule[]): BufferGeometry | null => {
    if (body.length === 0) return null;
    const shapes = body.flatMap((c) => {
      const [from, to] = [new Vector3(...c.from_mm), new Vector3(...c.to_mm)];
      const way = to.clone().sub(from);
      const parts: BufferGeometry[] = [from, to].map((at) => new SphereGeometry(c.radius_mm, 40, 24).translate(at.x, at.y, at.z));
      const middle = from.add(to).multiplyScalar(0.5);
      if (way.length() > 0) parts.push(new CylinderGeometry(c.radius_mm, c.radius_mm, way.length(), 40, 1, true).rotateX(Math.PI / 2).applyQuaternion(turnFromZ(way.normalize())).translate(middle.x, middle.y, middle.z));
      return parts.map((part) => coloured(part.deleteAttribute("uv"), armColours.clay));
    });
    const all = mergeGeometries(shapes);
    for (const shape of shapes) shape.dispose();
    return all;
  };
  const tools = arm.tools.flatMap(({ name, body }): [string, BufferGeometry][] => {
    const shape = whole(body);
    return shape ? [[name, shape]] : [];
  });
  return { links: [0, 1, 2, 3, 4, 5, 6].map((i) => whole(arm.body.filter((c) => c.link === i)) ?? (arm.body.length > 0 ? nothing() : null)), tools: new Map(tools) };
}

function forget(dress: Dress | null): void {
  for (const shape of [...(dress?.links ?? []), ...(dress?.tools.values() ?? [])]) shape?.dispose();
}
