import assert from "node:assert/strict";
import { test } from "node:test";
import { Captions } from "../src/pictures/captions";
import { bare } from "../src/pictures/png";
import { hull } from "../src/view/linework";
import { keepOpaque } from "../src/view/scene";

test("a jog's cue lasts while the arm moves, and long enough to be read; the next one takes its place", () => {
  const captions = new Captions();
  captions.begin(500);
  captions.begin(900); // it moves all the while
  captions.end(3000, "first");
  captions.begin(3000);
  captions.end(3100, "second <b> & so on");
  captions.begin(4000);
  captions.end(3_725_250, "long\n\nmore");
  captions.begin(3_725_300);
  assert.equal(
    captions.file(3_725_400),
    "WEBVTT\n\n00:00:00.500 --> 00:00:03.000\nfirst\n\n00:00:03.000 --> 00:00:04.000\nsecond &lt;b&gt; &amp; so on\n\n00:00:04.000 --> 01:02:05.250\nlong more\n",
  );
});

test("what is told twice at the same moment is told once; a clip without jogs has no cues", () => {
  const captions = new Captions();
  captions.end(1000, "refused");
  captions.end(1000, "refused, in other words");
  assert.equal(captions.file(5000), "WEBVTT\n\n00:00:01.000 --> 00:00:02.500\nrefused, in other words\n");
  assert.equal(new Captions().file(5000), "WEBVTT\n");
});

test("a picture keeps nothing but the picture", () => {
  const chunk = (name: string, size: number): number[] => [0, 0, 0, size, ...[...name].map((c) => c.charCodeAt(0)), ...Array<number>(size + 4).fill(7)];
  const begins = [0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a];
  const png = [...begins, ...chunk("IHDR", 13), ...chunk("iCCP", 30), ...chunk("tEXt", 5), ...chunk("IDAT", 9), ...chunk("IEND", 0)];
  assert.deepEqual([...bare(Uint8Array.from(png))], [...begins, ...chunk("IHDR", 13), ...chunk("IDAT", 9), ...chunk("IEND", 0)]);
});

test("a picture on white and on black is one on nothing", () => {
  // opaque; nothing; half of a red
  const white = Uint8ClampedArray.from([10, 20, 30, 255, 255, 255, 255, 255, 255, 127, 127, 255]);
  const black = Uint8ClampedArray.from([10, 20, 30, 255, 0, 0, 0, 255, 128, 0, 0, 255]);
  keepOpaque(white, black);
  assert.deepEqual([...white], [10, 20, 30, 255, 0, 0, 0, 0, 255, 0, 0, 128]);
});

test("a hull goes round all points, and leaves out those inside", () => {
  assert.deepEqual(hull([[0, 0], [2, 2], [2, 0], [1, 1], [0, 2], [1, 0.5]]), [[0, 0], [2, 0], [2, 2], [0, 2]]);
});
