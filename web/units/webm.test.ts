import assert from "node:assert/strict";
import { test } from "node:test";
import { WebmReader, webm } from "../src/pictures/webm";

const hex = (text: string): number[] => text.match(/[0-9a-f]{2}/g)!.map((byte) => parseInt(byte, 16));

/** A stream as a recorder writes it: segment and clusters without a length, the first picture with one of what it lets through. Written by hand after RFC 8794 and RFC 9559. */
const stream = Uint8Array.from([
  ...hex("1a45dfa3 84 4286 81 01"),
  ...hex("18538067 01ffffffffffffff"),
  ...hex("ec 40 03 000000"), // Void, its length in two bytes
  ...hex("1549a966 93 2ad7b1 83 0f4240 4d80 83 616263 5741 83 616263"),
  ...hex("1654ae6b 93 ae 91 d7 81 01 86 83 565f58 e0 87 b0 81 40 53c0 81 01"),
  ...hex("1f43b675 ff"),
  ...hex("e7 81 0a"),
  ...hex("a0 91 a1 86 81 0000 00 d1d2 75a1 86 a6 84 ee 82 0102"),
  ...hex("a3 86 81 0021 00 d3d4"),
  ...hex("1f43b675 01ffffffffffffff"),
  ...hex("e7 82 03f2"),
  ...hex("a3 85 81 ffff 80 d5"), // a little before its cluster's time
]);

/** The elements of a whole file, as a tree; [] for what is no container. */
type Tree = [id: string, content: Tree[] | number[], at: number];
const containers = ["1a45dfa3", "18538067", "1549a966", "1654ae6b", "ae", "e0", "1c53bb6b", "bb", "b7", "1f43b675"];
function tree(b: Uint8Array, from = 0, to = b.length): Tree[] {
  const all: Tree[] = [];
  for (let at = from; at < to; ) {
    const long = (i: number): number => [...b[i]!.toString(2).padStart(8, "0")].indexOf("1") + 1;
    const id = Buffer.from(b.subarray(at, at + long(at))).toString("hex");
    const size = at + long(at);
    const content = size + long(size);
    let bytes = BigInt(`0x${Buffer.from(b.subarray(size, content)).toString("hex")}`);
    bytes -= 1n << BigInt(7 * long(size));
    const end = content + Number(bytes);
    assert.ok(end <= to, `${id} is longer than what it is in`);
    all.push([id, containers.includes(id) ? tree(b, content, end) : [...b.subarray(content, end)], at]);
    at = end;
  }
  return all;
}
const of = (t: Tree[], ...ids: string[]): any => ids.reduce((at: any, id) => at.find((e: Tree) => e[0] === id)![1], t);
const number = (bytes: number[]): number => bytes.reduce((n, byte) => n * 256 + byte, 0);

test("pictures are taken out of a stream however it is cut", () => {
  for (let most = 1; most <= stream.length; most++) {
    const reader = new WebmReader();
    for (let at = 0; at < stream.length; at += most) reader.take(stream.slice(at, at + most));
    assert.deepEqual(
      reader.pictures.map(({ ms, key, data }) => [ms, key, [...data]]),
      [[0, true, [0xd1, 0xd2]], [33, false, [0xd3, 0xd4]], [999, true, [0xd5]]],
    );
  }
});

test("a file says how long it is, where each picture is that stands by itself, and of what program it is", async () => {
  const reader = new WebmReader();
  reader.take(stream);
  const file = new Uint8Array(await new Blob(webm(reader.tracks!, reader.pictures, 1039)).arrayBuffer());
  const t = tree(file);
  assert.deepEqual(t.map(([id]) => id), ["1a45dfa3", "18538067"]);
  const segment: Tree[] = of(t, "18538067");
  assert.equal(Buffer.from(of(segment, "1549a966", "4489")).readDoubleBE(), 1039);
  assert.equal(Buffer.from(file).includes("abc"), false);
  assert.deepEqual(of(segment, "1654ae6b", "ae", "86"), hex("565f58"));
  assert.deepEqual(of(segment, "1654ae6b", "ae", "e0").map((e: Tree) => e[0]), ["b0"], "nothing shines through");
  const inside = segment[0]![2]; // places are told from there
  const clusters = segment.filter(([id]) => id === "1f43b675");
  const told = of(segment, "1c53bb6b").map(([, cue]: Tree) => [number(of(cue as Tree[], "b3")), number(of(cue as Tree[], "b7", "f1")) + inside]);
  assert.deepEqual(told, clusters.map(([, content, at]) => [number(of(content as Tree[], "e7")), at]));
  assert.deepEqual(told.map(([ms]: number[]) => ms), [0, 999]);
  assert.deepEqual((clusters[0]![1] as Tree[]).slice(1).map(([, bytes]) => bytes), [hex("81 0000 80 d1d2"), hex("81 0021 00 d3d4")]);
  const again = new WebmReader();
  again.take(file);
  assert.deepEqual(again.pictures, reader.pictures);
});

test("pictures far from one that stands by itself have a cluster of their own, which nobody is sent to", () => {
  const data = Uint8Array.of(1);
  const file = Buffer.concat(webm(new Uint8Array(0), [{ ms: 0, key: true, data }, { ms: 40_000, key: false, data }], 41_000));
  const segment: Tree[] = of(tree(file), "18538067");
  assert.deepEqual(segment.filter(([id]) => id === "1f43b675").map(([, c]) => number(of(c as Tree[], "e7"))), [0, 40_000]);
  assert.equal(of(segment, "1c53bb6b").length, 1);
});

test("what is no such stream is told", () => {
  assert.throws(() => new WebmReader().take(Uint8Array.of(0, 0, 0, 0x18)), /no WebM/);
});
