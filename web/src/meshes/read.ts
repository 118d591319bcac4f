// Reads files of meshes, by three.js's own loaders, into plain triangles with normals and colours.
import { BufferAttribute, BufferGeometry, Color, type Material, Matrix4, Mesh, type MeshStandardMaterial, type Object3D, SRGBColorSpace, Vector3 } from "three";
import { GLTFLoader } from "three/addons/loaders/GLTFLoader.js";
import { MTLLoader } from "three/addons/loaders/MTLLoader.js";
import { OBJLoader } from "three/addons/loaders/OBJLoader.js";
import { STLLoader } from "three/addons/loaders/STLLoader.js";
import { mergeGeometries, mergeVertices, toCreasedNormals } from "three/addons/utils/BufferGeometryUtils.js";
import { beside, type Paint, plain } from "./gltf";
import { type Open, Refused } from "./open";

/** Edges that are sharper than this are seen as edges. */
const CREASE = (35 * Math.PI) / 180;

/** The pixels of a picture, as a browser unpacks it; null where it cannot. */
export type Unpack = (paint: Paint) => Promise<{ width: number; height: number; data: Uint8ClampedArray } | null>;

export interface Wanted {
  file: string;
  place: Matrix4; // which scales as well
  colour: Color; // where the file has none
  most: number; // triangles
}

/** A mesh with the attributes position, normal and color, and an index. */
export async function read({ file, place, colour, most }: Wanted, open: Open, unpack: Unpack): Promise<BufferGeometry> {
  const bytes = await open(file);
  const kind = file.slice(file.lastIndexOf(".")).toLowerCase();
  const parts =
    kind === ".stl" ? [stl(bytes, colour, most)] : kind === ".obj" ? await obj(file, bytes, open, colour) : await gltf(file, bytes, open, colour, unpack);
  const triangles = parts.reduce((sum, p) => sum + (p.index ? p.index.count : p.getAttribute("position").count) / 3, 0);
  if (triangles > most) throw new Refused("mesh.many", { number: Math.round(triangles) });
  if (!(triangles >= 1)) throw new Error("it has no triangles");
  const mirrored = place.determinant() < 0;
  const done = parts.map((part) => {
    const shape = part.applyMatrix4(place);
    if (mirrored) turnAround(shape);
    if (shape.hasAttribute("normal")) return mergeVertices(shape, 1e-3);
    if (insideOut(shape)) turnAround(shape);
    return mergeVertices(toCreasedNormals(shape, CREASE), 1e-3);
  });
  const whole = mergeGeometries(done);
  const points = whole.getAttribute("position").array;
  for (let i = 0; i < points.length; i++) if (!Number.isFinite(points[i])) throw new Error("it has a point that is not finite");
  return whole;
}

/** Triangles seen from the other side. */
function turnAround(shape: BufferGeometry): void {
  if (!shape.index) shape.setIndex(new BufferAttribute(Uint32Array.from({ length: shape.getAttribute("position").count }, (_, i) => i), 1));
  const index = shape.index!;
  for (let i = 0; i < index.count; i += 3) {
    const [b, c] = [index.getX(i + 1), index.getX(i + 2)];
    index.setX(i + 1, c);
    index.setX(i + 2, b);
  }
}

/** Whether what the triangles enclose is seen from inside. A sheet encloses next to nothing, and stays as it is. */
function insideOut(shape: BufferGeometry): boolean {
  const points = shape.getAttribute("position");
  const { index } = shape;
  shape.computeBoundingBox();
  const [middle, size] = [shape.boundingBox!.getCenter(new Vector3()), shape.boundingBox!.getSize(new Vector3())];
  const corners = [new Vector3(), new Vector3(), new Vector3()] as const;
  let volume = 0;
  for (let i = 0; i < (index?.count ?? points.count); i += 3) {
    corners.forEach((corner, k) => corner.fromBufferAttribute(points, index ? index.getX(i + k) : i + k).sub(middle));
    volume += corners[0].dot(corners[1].cross(corners[2])) / 6;
  }
  return volume < -1e-3 * size.x * size.y * size.z;
}

/** The colours of a shape's own corners; null where it has none. */
const coloursOf = (shape: BufferGeometry): BufferAttribute | null => (shape.hasAttribute("color") ? (shape.getAttribute("color") as BufferAttribute) : null);

/** A shape with no more than what is drawn, and its colours: those of its own corners, or one. */
function painted(from: BufferGeometry, own: BufferAttribute | null, colour: Color, normals: boolean): BufferGeometry {
  const at = from.getAttribute("position");
  const shape = new BufferGeometry();
  const [position, colours] = [new Float32Array(3 * at.count), new Float32Array(3 * at.count)];
  for (let i = 0; i < at.count; i++) {
    position.set([at.getX(i), at.getY(i), at.getZ(i)], 3 * i);
    if (own) colours.set([own.getX(i) * colour.r, own.getY(i) * colour.g, own.getZ(i) * colour.b], 3 * i);
    else colours.set([colour.r, colour.g, colour.b], 3 * i);
  }
  shape.setAttribute("position", new BufferAttribute(position, 3));
  shape.setAttribute("color", new BufferAttribute(colours, 3));
  const normal = normals ? from.getAttribute("normal") : null;
  if (normal) {
    const out = new Float32Array(3 * at.count);
    for (let i = 0; i < at.count; i++) out.set([normal.getX(i), normal.getY(i), normal.getZ(i)], 3 * i);
    shape.setAttribute("normal", new BufferAttribute(out, 3));
  }
  if (from.index) shape.setIndex(from.index.clone());
  return shape;
}

const white = new Color(1, 1, 1);

function stl(bytes: Uint8Array<ArrayBuffer>, colour: Color, most: number): BufferGeometry {
  const text = new TextDecoder().decode(bytes.subarray(0, 2000));
  if (!(text.trimStart().startsWith("solid") && text.includes("facet"))) {
    const count = bytes.length < 84 ? 0 : new DataView(bytes.buffer, bytes.byteOffset).getUint32(80, true);
    if (84 + 50 * count > bytes.length) throw new Error("it ends too early");
    if (count > most) throw new Refused("mesh.many", { number: count });
  }
  const shape = new STLLoader().parse(bytes.buffer);
  const own = coloursOf(shape);
  return painted(shape, own, own ? white : colour, false);
}

async function obj(file: string, bytes: Uint8Array<ArrayBuffer>, open: Open, colour: Color): Promise<BufferGeometry[]> {
  const text = new TextDecoder().decode(bytes);
  const loader = new OBJLoader();
  const library = /^\s*mtllib\s+(.+?)\s*$/m.exec(text)?.[1];
  const named = new Set<string>();
  if (library) {
    try {
      const colours = new TextDecoder().decode(await open(beside(file, library)));
      // Pictures are left out, so that nothing is fetched.
      const materials = new MTLLoader().parse(colours.split("\n").filter((line) => !/^\s*(map_|bump|disp|decal|refl|norm)/i.test(line)).join("\n"), "");
      materials.preload();
      for (const name of Object.keys(materials.materials)) named.add(name);
      loader.setMaterials(materials);
    } catch {
      // Its colours are not there.
    }
  }
  const smooth = /^\s*vn\s/m.test(text);
  const parts: BufferGeometry[] = [];
  loader.parse(text).traverse((object) => {
    if (!(object instanceof Mesh)) return;
    const shape = object.geometry as BufferGeometry;
    const own = coloursOf(shape);
    const materials: Material[] = Array.isArray(object.material) ? object.material : [object.material];
    const groups = shape.groups.length > 0 ? shape.groups : [{ start: 0, count: shape.getAttribute("position").count, materialIndex: 0 }];
    for (const { start, count, materialIndex = 0 } of groups) {
      const material = materials[materialIndex] as (Material & { color?: Color }) | undefined;
      const given = material?.color && named.has(material.name) ? material.color : null;
      const run = part(shape, start, count);
      parts.push(painted(run, coloursOf(run), given ?? (own ? white : colour), smooth));
    }
  });
  return parts;
}

/** A run of a shape without an index. */
function part(shape: BufferGeometry, start: number, count: number): BufferGeometry {
  const out = new BufferGeometry();
  for (const name of ["position", "normal", "color"]) {
    if (shape.hasAttribute(name)) out.setAttribute(name, new BufferAttribute((shape.getAttribute(name).array as Float32Array).slice(3 * start, 3 * (start + count)), 3));
  }
  return out;
}

async function gltf(file: string, bytes: Uint8Array<ArrayBuffer>, open: Open, colour: Color, unpack: Unpack): Promise<BufferGeometry[]> {
  const { glb, paints } = await plain(file, bytes, open);
  const pictures = await Promise.all(paints.map((paint) => paint && unpack(paint)));
  const { scene, parser } = await new GLTFLoader().parseAsync(glb, "");
  scene.updateMatrixWorld(true);
  const parts: BufferGeometry[] = [];
  scene.traverse((object: Object3D) => {
    if (!(object instanceof Mesh)) return;
    const material = object.material as MeshStandardMaterial;
    const number = parser.associations.get(material)?.materials ?? -1;
    const shape = object.geometry as BufferGeometry;
    const own = coloursOf(shape);
    const picture = pictures[number];
    const drawn = painted(shape, own, number < 0 && !own ? colour : material.color, shape.hasAttribute("normal"));
    const uv = picture && paints[number] ? shape.getAttribute(paints[number].uv) : null;
    if (picture && uv) {
      // A picture gives each corner the colour that it has there.
      const colours = drawn.getAttribute("color");
      const [here, wrap] = [new Color(), (x: number, n: number): number => Math.min(n - 1, Math.floor((x - Math.floor(x)) * n))];
      for (let i = 0; i < colours.count; i++) {
        const at = 4 * (wrap(uv.getY(i), picture.height) * picture.width + wrap(uv.getX(i), picture.width));
        here.setRGB(picture.data[at]! / 255, picture.data[at + 1]! / 255, picture.data[at + 2]! / 255, SRGBColorSpace);
        colours.setXYZ(i, colours.getX(i) * here.r, colours.getY(i) * here.g, colours.getZ(i) * here.b);
      }
    }
    if (object.matrixWorld.determinant() < 0) turnAround(drawn);
    parts.push(drawn.applyMatrix4(object.matrixWorld));
  });
  return parts;
}
