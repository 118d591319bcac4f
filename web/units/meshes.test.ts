// Files of meshes, read by three.js's loaders: where their triangles are, their colours, and that nothing is looked for outside the arm's folder.
import assert from "node:assert/strict";
import { test } from "node:test";
import { type BufferGeometry, Color, Matrix4, Vector3 } from "three";
import { type Open, opener, Refused } from "../src/meshes/open";
import { read } from "../src/meshes/read";

const grey = new Color(0.5, 0.5, 0.5);
const bytes = (text: string): Uint8Array<ArrayBuffer> => new TextEncoder().encode(text) as Uint8Array<ArrayBuffer>;
const folder =
  (files: Record<string, Uint8Array<ArrayBuffer>>): Open =>
  (file) => {
    const there = files[file];
    return there ? Promise.resolve(there) : Promise.reject(new Refused("mesh.missing", { file }));
  };
const got = (file: string, open: Open, place = new Matrix4(), most = 1000): Promise<BufferGeometry> => read({ file, place, colour: grey, most }, open, () => Promise.resolve(null));

/** The corners of triangle i, and the way it faces. */
function triangle(shape: BufferGeometry, i: number): { corners: Vector3[]; out: Vector3; normal: Vector3; colour: Color } {
  const [at, normal, colour] = [shape.getAttribute("position"), shape.getAttribute("normal"), shape.getAttribute("color")];
  const corner = [0, 1, 2].map((k) => shape.index!.getX(3 * i + k));
  const corners = corner.map((k) => new Vector3(at.getX(k), at.getY(k), at.getZ(k)));
  const [a, b, c] = corners as [Vector3, Vector3, Vector3];
  const k = corner[0]!;
  return {
    corners,
    out: b.clone().sub(a).cross(c.clone().sub(a)).normalize(),
    normal: new Vector3(normal.getX(k), normal.getY(k), normal.getZ(k)),
    colour: new Color(colour.getX(k), colour.getY(k), colour.getZ(k)),
  };
}

function binarySTL(count: number, triangles: number[][]): Uint8Array<ArrayBuffer> {
  const out = new Uint8Array(84 + 50 * triangles.length);
  const view = new DataView(out.buffer);
  view.setUint32(80, count, true);
  triangles.forEach((t, i) => t.forEach((x, k) => view.setFloat32(84 + 50 * i + 12 + 4 * k, x, true)));
  return out;
}

const positions = (numbers: number[]): Uint8Array<ArrayBuffer> => new Uint8Array(Float32Array.from(numbers).buffer);

function gltf(more: Record<string, unknown>, uri: string, count: number): Uint8Array<ArrayBuffer> {
  return bytes(
    JSON.stringify({
      asset: { version: "2.0" }, scene: 0, scenes: [{ nodes: [0] }], nodes: [{ mesh: 0 }], meshes: [{ primitives: [{ attributes: { POSITION: 0 }, material: 0 }] }],
      materials: [{ pbrMetallicRoughness: { baseColorFactor: [1, 0.25, 0, 1] }, normalTexture: { index: 9 } }],
      accessors: [{ bufferView: 0, componentType: 5126, count, type: "VEC3", min: [0, 0, 0], max: [1, 1, 1] }], bufferViews: [{ buffer: 0, byteLength: 12 * count }], buffers: [{ byteLength: 12 * count, uri }], ...more,
    }),
  );
}

test("a file whose triangles face inwards is turned inside out, and one that has faces out already stays", async () => {
  const [o, x, y, z] = [[0, 0, 0], [1, 0, 0], [0, 1, 0], [0, 0, 1]] as const;
  const faces = [[o, y, x], [o, z, y], [o, x, z], [x, y, z]];
  for (const whole of [faces, faces.map(([a, b, c]) => [a!, c!, b!])]) {
    const shape = await got("m/a.stl", folder({ "m/a.stl": binarySTL(4, whole.map((f) => f.flatMap((p) => [...p!]))) }));
    for (let i = 0; i < 4; i++) {
      const { corners, out, normal } = triangle(shape, i);
      assert.ok(out.dot(corners[0]!.clone().sub(new Vector3(0.2, 0.2, 0.2))) > 0);
      assert.ok(out.distanceTo(normal) < 1e-6);
    }
  }
});

test("a file is placed and scaled, and a mirrored one faces out all the same", async () => {
  const open = folder({ "m/a.stl": binarySTL(1, [[0, 0, 0, 1, 0, 0, 0, 1, 0]]) });
  for (const scale of [new Vector3(2, 3, 4), new Vector3(-2, 3, 4)]) {
    const { corners, out, normal, colour } = triangle(await got("m/a.stl", open, new Matrix4().makeTranslation(10, 20, 30).scale(scale)), 0);
    const xs = corners.map((c) => c.toArray().join(" ")).sort();
    assert.deepEqual(xs, ["10 20 30", `${10 + scale.x} 20 30`, "10 23 30"].sort());
    // It faced along Z, and mirrored across X it still does.
    for (const way of [out, normal]) assert.ok(way.distanceTo(new Vector3(0, 0, 1)) < 1e-6, way.toArray().join(" "));
    assert.deepEqual(colour.toArray(), [0.5, 0.5, 0.5]);
  }
});

test("an OBJ file has the colours of its library, whose pictures are not looked for", async () => {
  const asked: string[] = [];
  const files = folder({ "m/a.obj": bytes("mtllib b/paint.mtl\nv 0 0 0\nv 1 0 0\nv 0 1 0\nv 0 0 1\nusemtl red\nf 1 2 3\nusemtl other\nf 1 2 4\n"), "m/b/paint.mtl": bytes("newmtl red\nKd 1 0 0\nmap_Kd http://example.com/a.png\n") });
  const shape = await got("m/a.obj", (file) => (asked.push(file), files(file)));
  assert.deepEqual(asked, ["m/a.obj", "m/b/paint.mtl"]);
  assert.deepEqual(triangle(shape, 0).colour.toArray(), [1, 0, 0]);
  assert.deepEqual(triangle(shape, 1).colour.toArray(), [0.5, 0.5, 0.5]);
});

test("a glTF file's nodes place what they carry, as the arm files' reader has it", async () => {
  const nodes = [
    { children: [1], translation: [10, 0, 0], rotation: [0, 0, Math.SQRT1_2, Math.SQRT1_2], scale: [2, 3, 4] },
    { children: [2], matrix: [0, 1, 0, 0, -1, 0, 0, 0, 0, 0, 1, 0, 5, 6, 7, 1] },
    { mesh: 0, skin: 3, camera: 4 },
  ];
  const open = folder({ "a.gltf": gltf({ nodes, animations: [{}], skins: [{}] }, "the%20data.bin", 3), "the data.bin": positions([1, 0, 0, 0, 1, 0, 0, 0, 1]) });
  const { corners, colour } = triangle(await got("a.gltf", open), 0);
  // By hand, in gltf_test.go of package mesh.
  for (const want of [new Vector3(-11, 10, 28), new Vector3(-8, 8, 28), new Vector3(-8, 10, 32)]) assert.ok(corners.some((c) => c.distanceTo(want) < 1e-5), corners.map((c) => c.toArray().join(" ")).join("; "));
  assert.deepEqual(colour.toArray(), [1, 0.25, 0]);
});

test("a picture gives each corner the colour that it has there", async () => {
  const data = new Uint8Array([...positions([0, 0, 0, 1, 0, 0, 0, 1, 0]), ...new Uint8Array(Float32Array.from([0.1, 0.1, 0.9, 0.1, 1.6, 2.1]).buffer)]);
  const open = folder({
    "a.gltf": gltf(
      {
        meshes: [{ primitives: [{ attributes: { POSITION: 0, TEXCOORD_0: 1 }, material: 0 }] }], materials: [{ pbrMetallicRoughness: { baseColorTexture: { index: 0 } } }], textures: [{ source: 0 }], images: [{ uri: "a.png" }],
        accessors: [{ bufferView: 0, componentType: 5126, count: 3, type: "VEC3", min: [0, 0, 0], max: [1, 1, 0] }, { bufferView: 1, componentType: 5126, count: 3, type: "VEC2" }],
        bufferViews: [{ buffer: 0, byteLength: 36 }, { buffer: 0, byteOffset: 36, byteLength: 24 }], buffers: [{ byteLength: 60, uri: "a.bin" }],
      }, "a.bin", 3),
    "a.bin": data, "a.png": bytes("a picture"),
  });
  const picture = { width: 2, height: 1, data: new Uint8ClampedArray([255, 0, 0, 255, 0, 0, 255, 255]) };
  const shape = await read({ file: "a.gltf", place: new Matrix4(), colour: grey, most: 10 }, open, (paint) => Promise.resolve(new TextDecoder().decode(paint.bytes) === "a picture" ? picture : null));
  const seen = [0, 1, 2].map((i) => [shape.getAttribute("position").getX(i), shape.getAttribute("color").getX(i), shape.getAttribute("color").getZ(i)].join(" ")).sort();
  assert.deepEqual(seen, ["0 0 1", "0 1 0", "1 0 1"]); // red at the origin; blue at 0.9 and at 1.6, which is 0.6
});

test("what leads out, is an address, is packed, cut off or too much is refused", async () => {
  const two = binarySTL(2, [[0, 0, 0, 1, 0, 0, 0, 1, 0], [0, 0, 0, 1, 0, 0, 0, 0, 1]]);
  const refused: [string, Record<string, Uint8Array<ArrayBuffer>>, string][] = [
    ["m/a.gltf", { "m/a.gltf": gltf({}, "https://example.com/a.bin", 3) }, "mesh.address"],
    ["m/a.gltf", { "m/a.gltf": gltf({}, "//example.com/a.bin", 3) }, "mesh.address"],
    ["m/a.gltf", { "m/a.gltf": gltf({}, "../../a.bin", 3) }, "mesh.address"],
    ["m/a.gltf", { "m/a.gltf": gltf({}, "%2e%2e/%2e%2e/a.bin", 3) }, "mesh.address"],
    ["m/a.gltf", { "m/a.gltf": gltf({}, "a.bin", 3) }, "mesh.missing"],
    ["a.gltf", { "a.gltf": gltf({ extensionsRequired: ["KHR_draco_mesh_compression"] }, "a.bin", 3) }, "mesh.packed"],
    ["a.stl", { "a.stl": two }, "mesh.many"],
  ];
  for (const [file, files, why] of refused) {
    await assert.rejects(got(file, folder(files), new Matrix4(), 1), (error) => error instanceof Refused && error.why === why, `${file} ${why}`);
  }
  for (const [file, text] of [
    ["a.stl", two.slice(0, 100)], ["a.stl", binarySTL(0xffffffff, [])], ["a.stl", bytes("")], ["a.obj", bytes("v 0 0 0")], ["a.glb", bytes("glTF")], ["a.gltf", bytes("{")],
    ["a.gltf", gltf({ nodes: [{ children: [1] }, { children: [0] }] }, "a.bin", 3)], ["a.gltf", gltf({ accessors: [{ bufferView: 0, componentType: 5126, count: 4e9, type: "VEC3" }] }, "a.bin", 3)],
    ["a.stl", binarySTL(1, [[NaN, 0, 0, 1, 0, 0, 0, 1, 0]])],
  ] as [string, Uint8Array<ArrayBuffer>][]) {
    await assert.rejects(got(file, folder({ [file]: text, "a.bin": positions([0, 0, 0, 1, 0, 0, 0, 1, 0]) })), `${file} ${text.length}`);
  }
});

test("files in hand are read up to a bound, and no others are asked for", async () => {
  const open = opener("", new Map([["a.obj", new Blob(["v 0 0 0"])], ["large.stl", new Blob([new Uint8Array((24 << 20) + 1)])]]));
  assert.equal(new TextDecoder().decode(await open("a.obj")), "v 0 0 0");
  await assert.rejects(open("b.obj"), (error) => error instanceof Refused && error.why === "mesh.missing");
  await assert.rejects(open("large.stl"), (error) => error instanceof Refused && error.why === "mesh.large");
});
