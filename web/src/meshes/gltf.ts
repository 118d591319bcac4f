// Makes a glTF 2.0 file (Khronos; ISO/IEC 12113:2022) one that needs no other: its buffers in one, and nothing in it but shapes and plain
// colours. What it names is looked for beside it, and nothing is fetched from elsewhere.
import { type Open, Refused } from "./open";

/** As far as it is needed here. */
interface Document {
  asset?: { version?: string };
  extensionsRequired?: string[];
  extensionsUsed?: string[];
  buffers?: { uri?: string; byteLength: number }[];
  bufferViews?: { buffer: number; byteOffset?: number; byteLength: number }[];
  images?: { uri?: string; bufferView?: number; mimeType?: string }[];
  textures?: { source?: number }[];
  materials?: Material[];
  meshes?: { weights?: unknown; primitives: { targets?: unknown; extensions?: unknown }[] }[];
  nodes?: { skin?: unknown; camera?: unknown; extensions?: unknown }[];
  [other: string]: unknown;
}

interface Material {
  pbrMetallicRoughness?: { baseColorFactor?: number[]; baseColorTexture?: { index: number; texCoord?: number } };
  alphaMode?: string;
}

/** A picture that a material is painted with. */
export interface Paint {
  bytes: Uint8Array<ArrayBuffer>;
  type: string;
  uv: string; // the attribute with the places in it
}

export interface Plain {
  glb: ArrayBuffer;
  /** Of each material, in the file's order. */
  paints: (Paint | null)[];
}

const MAGIC = 0x46546c67;
const JSON_CHUNK = 0x4e4f534a;
const BINARY_CHUNK = 0x004e4942;

// Extensions that may be required without changing where triangles are. Others pack them.
const harmless = /^(KHR_materials_|KHR_texture_|KHR_lights_|EXT_texture_webp)/;

export async function plain(file: string, bytes: Uint8Array<ArrayBuffer>, open: Open): Promise<Plain> {
  const { text, inside } = parted(bytes);
  const d = JSON.parse(new TextDecoder().decode(text)) as Document;
  const packed = d.extensionsRequired?.find((name) => !harmless.test(name));
  if (packed) throw new Refused("mesh.packed", { extension: packed.slice(0, 60) });
  const held = (uri: string): Promise<Uint8Array<ArrayBuffer>> => (uri.startsWith("data:") ? Promise.resolve(unpacked(uri)) : open(beside(file, uri)));
  const buffers: Uint8Array<ArrayBuffer>[] = [];
  for (const [i, b] of (d.buffers ?? []).entries()) buffers.push(b.uri === undefined ? (i === 0 && inside ? inside : new Uint8Array()) : await held(b.uri));
  const paints = await paintsOf(d, buffers, held);
  // All buffers one behind the other, each at a place that any number may begin at.
  const starts: number[] = [];
  let size = 0;
  for (const b of buffers) {
    starts.push(size);
    size += Math.ceil(b.length / 4) * 4;
  }
  const whole = new Uint8Array(size);
  buffers.forEach((b, i) => whole.set(b, starts[i]));
  for (const view of d.bufferViews ?? []) {
    const within = buffers[view.buffer];
    if (!within || (view.byteOffset ?? 0) + view.byteLength > within.length) throw new Error("a view leads out of its buffer");
    view.byteOffset = (view.byteOffset ?? 0) + starts[view.buffer]!;
    view.buffer = 0;
  }
  d.buffers = size > 0 ? [{ byteLength: size }] : [];
  for (const unneeded of ["animations", "skins", "cameras", "images", "textures", "samplers", "extensions", "extensionsUsed", "extensionsRequired"]) delete d[unneeded];
  for (const node of d.nodes ?? []) for (const unneeded of ["skin", "camera", "extensions"] as const) delete node[unneeded];
  for (const mesh of d.meshes ?? []) {
    delete mesh.weights;
    for (const primitive of mesh.primitives) for (const unneeded of ["targets", "extensions"] as const) delete primitive[unneeded];
  }
  d.materials = d.materials?.map((m) => ({ pbrMetallicRoughness: { baseColorFactor: m.pbrMetallicRoughness?.baseColorFactor ?? [1, 1, 1, 1] } }));
  return { glb: binary(new TextEncoder().encode(JSON.stringify(d)), whole), paints };
}

async function paintsOf(d: Document, buffers: Uint8Array<ArrayBuffer>[], held: (uri: string) => Promise<Uint8Array<ArrayBuffer>>): Promise<(Paint | null)[]> {
  const pictures = await Promise.all(
    (d.images ?? []).map(async ({ uri, bufferView, mimeType = "" }) => {
      const view = bufferView === undefined ? undefined : d.bufferViews?.[bufferView];
      if (view) return { bytes: (buffers[view.buffer] ?? new Uint8Array()).slice(view.byteOffset ?? 0, (view.byteOffset ?? 0) + view.byteLength), type: mimeType };
      if (uri === undefined) return null;
      return held(uri).then((bytes) => ({ bytes, type: mimeType }), () => null); // A picture that is not there is not missed.
    }),
  );
  return (d.materials ?? []).map((m) => {
    const texture = m.pbrMetallicRoughness?.baseColorTexture;
    const picture = texture && pictures[d.textures?.[texture.index]?.source ?? -1];
    return picture ? { ...picture, uv: texture.texCoord ? `uv${texture.texCoord}` : "uv" } : null;
  });
}

/** The parts of a file in binary form; one in text has no bytes inside. */
function parted(bytes: Uint8Array<ArrayBuffer>): { text: Uint8Array; inside: Uint8Array<ArrayBuffer> | null } {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  if (bytes.length < 12 || view.getUint32(0, true) !== MAGIC) return { text: bytes, inside: null };
  let text: Uint8Array | null = null;
  let inside: Uint8Array<ArrayBuffer> | null = null;
  for (let at = 12; at + 8 <= bytes.length; ) {
    const [length, kind] = [view.getUint32(at, true), view.getUint32(at + 4, true)];
    const chunk = bytes.subarray(at + 8, at + 8 + length);
    if (chunk.length < length) throw new Error("it ends within a chunk");
    if (kind === JSON_CHUNK) text ??= chunk;
    if (kind === BINARY_CHUNK) inside ??= chunk;
    at += 8 + length;
  }
  if (!text) throw new Error("it has no chunk of JSON");
  return { text, inside };
}

function binary(text: Uint8Array, whole: Uint8Array): ArrayBuffer {
  const long = Math.ceil(text.length / 4) * 4;
  const out = new Uint8Array(12 + 8 + long + 8 + whole.length);
  const view = new DataView(out.buffer);
  [MAGIC, 2, out.length, long, JSON_CHUNK].forEach((n, i) => view.setUint32(4 * i, n, true));
  out.fill(0x20, 20, 20 + long);
  out.set(text, 20);
  view.setUint32(20 + long, whole.length, true);
  view.setUint32(24 + long, BINARY_CHUNK, true);
  out.set(whole, 28 + long);
  return out.buffer;
}

function unpacked(uri: string): Uint8Array<ArrayBuffer> {
  const at = uri.indexOf(";base64,");
  if (at < 0) throw new Error("a buffer is written in another way than base64");
  return Uint8Array.from(atob(uri.slice(at + 8)), (c) => c.charCodeAt(0));
}

/** The path of a file that another names. Nothing that leads out of the folder is one, nor an address. */
export function beside(file: string, uri: string): string {
  let at = uri;
  try {
    at = decodeURIComponent(uri);
  } catch {
    // It is meant as it is.
  }
  const way = file.split("/").slice(0, -1);
  for (const part of at.split("/")) {
    if (part === "..") {
      if (way.pop() === undefined) throw new Refused("mesh.address", { file: uri.slice(0, 60) });
    } else if (part !== "." && part !== "") way.push(part);
  }
  if (/[:\\?#]/.test(at) || at.startsWith("/") || way.length === 0) throw new Refused("mesh.address", { file: uri.slice(0, 60) });
  return way.join("/");
}
