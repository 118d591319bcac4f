// Clips as files of WebM, a form of Matroska (RFC 9559), whose elements are those of EBML (RFC 8794). A recorder writes its
// file as a stream: it does not say how long the clip is, nor where a player finds a place in it, and it names the browser.
// So its pictures are taken out of the stream, as they come, and written into a file that is whole.

const EBML = 0x1a45dfa3, VERSION = 0x4286, READ_VERSION = 0x42f7, ID_LENGTH = 0x42f2, SIZE_LENGTH = 0x42f3, DOC_TYPE = 0x4282, DOC_VERSION = 0x4287, DOC_READ_VERSION = 0x4285;
const SEGMENT = 0x18538067, INFO = 0x1549a966, SCALE = 0x2ad7b1, DURATION = 0x4489, MUXING_APP = 0x4d80, WRITING_APP = 0x5741;
const TRACKS = 0x1654ae6b, TRACK = 0xae, VIDEO = 0xe0, ALPHA_MODE = 0x53c0;
const CLUSTER = 0x1f43b675, TIME = 0xe7, SIMPLE_BLOCK = 0xa3, GROUP = 0xa0, BLOCK = 0xa1, REFERENCE = 0xfb;
const CUES = 0x1c53bb6b, CUE = 0xbb, CUE_TIME = 0xb3, CUE_POSITIONS = 0xb7, CUE_TRACK = 0xf7, CUE_CLUSTER = 0xf1;

/** A picture's time is told from its cluster's, in so many ms at most. */
const LONGEST_CLUSTER_MS = 0x7fff;

type Bytes = Uint8Array<ArrayBuffer>;

/** What of them is read from within; the others are taken whole, or left. */
const opened = new Set([SEGMENT, CLUSTER]);

/** A picture as the browser has packed it. */
export interface Picture {
  ms: number; // since the first
  key: boolean; // it can be shown without those before it
  data: Bytes;
}

interface Element {
  id: number;
  content: Bytes;
}

/** Where the content of the element that begins there lies; null where not all of its head is there yet. */
function headAt(b: Bytes, at: number): { id: number; from: number; to: number } | null {
  const sizeAt = at + lengthAt(b, at, 4);
  const from = sizeAt + lengthAt(b, sizeAt, 8);
  if (from > b.length) return null;
  const mark = 0x80 >> (from - sizeAt - 1); // in the first byte of a size, which says how many it has
  const size = b.slice(sizeAt, from);
  size[0]! -= mark;
  const open = size[0] === mark - 1 && size.subarray(1).every((byte) => byte === 0xff); // The stream does not say where it ends.
  return { id: number(b.subarray(at, sizeAt)), from, to: open ? NaN : from + number(size) };
}

/** How many bytes a number there has, as its first one says. */
function lengthAt(b: Bytes, at: number, most: number): number {
  if (at >= b.length) return Infinity;
  const long = Math.clz32(b[at]!) - 23;
  if (long > most) throw new Error("This is no WebM.");
  return long;
}

const number = (b: Bytes): number => b.reduce((n, byte) => n * 256 + byte, 0);

function within(b: Bytes): Element[] {
  const all: Element[] = [];
  for (let at = 0, e = headAt(b, 0); e && e.to <= b.length; at = e.to, e = headAt(b, at)) all.push({ id: e.id, content: b.subarray(e.from, e.to) });
  return all;
}

/** Takes the pictures out of a stream. */
export class WebmReader {
  tracks: Bytes | null = null;
  readonly pictures: Picture[] = [];
  private rest: Bytes = new Uint8Array(0);
  private scaleMs = 1; // of a time in the stream
  private cluster = 0; // when it begins, ms
  private first: number | null = null; // when the first picture is, ms

  /** The next bytes of the stream. */
  take(bytes: Bytes): void {
    const b = this.rest.length === 0 ? bytes : joined(this.rest, bytes);
    let at = 0;
    for (let e = headAt(b, at); e; e = headAt(b, at)) {
      if (opened.has(e.id)) at = e.from;
      else if (!(e.to <= b.length)) break;
      else {
        this.element(e.id, b.subarray(e.from, e.to));
        at = e.to;
      }
    }
    this.rest = b.subarray(at);
  }

  private element(id: number, content: Bytes): void {
    if (id === INFO) {
      for (const e of within(content)) if (e.id === SCALE) this.scaleMs = number(e.content) / 1e6;
    } else if (id === TRACKS) this.tracks = content;
    else if (id === TIME) this.cluster = number(content) * this.scaleMs;
    else if (id === SIMPLE_BLOCK) this.block(content, (content[3]! & 0x80) !== 0);
    else if (id === GROUP) {
      const parts = within(content);
      const block = parts.find((e) => e.id === BLOCK);
      if (block) this.block(block.content, !parts.some((e) => e.id === REFERENCE));
    }
  }

  /** One track only has numbers of one byte. */
  private block(b: Bytes, key: boolean): void {
    const at = this.cluster + (((b[1]! << 24) | (b[2]! << 16)) >> 16) * this.scaleMs;
    this.first ??= at;
    this.pictures.push({ ms: at - this.first, key, data: b.subarray(4) });
  }
}

/** A whole file of the pictures, so many ms long; a player goes by it to any picture that can be shown by itself. */
export function webm(tracks: Bytes, pictures: readonly Picture[], ms: number): Bytes[] {
  const clusters: { ms: number; key: boolean; parts: Bytes[] }[] = [];
  for (const p of pictures) {
    const at = Math.round(p.ms);
    let last = clusters.at(-1);
    if (!last || p.key || at - last.ms > LONGEST_CLUSTER_MS) clusters.push((last = { ms: at, key: p.key, parts: element(TIME, uint(at)) }));
    const off = at - last.ms;
    last.parts.push(...element(SIMPLE_BLOCK, Uint8Array.of(0x81, off >> 8, off & 0xff, p.key ? 0x80 : 0), p.data));
  }
  const wholes = clusters.map(({ parts }) => element(CLUSTER, ...parts));
  const front = [
    ...element(INFO, ...element(SCALE, uint(1e6)), ...element(DURATION, float(ms)), ...element(MUXING_APP, text("handrule")), ...element(WRITING_APP, text("handrule"))),
    ...element(TRACKS, ...within(tracks).flatMap(opaque)),
  ];
  /** Where the clusters are, if the first is there, in bytes from the beginning of the segment's content. */
  const cues = (first: number): Bytes[] => {
    const points: Bytes[] = [];
    let at = first;
    for (const [i, { ms, key }] of clusters.entries()) {
      if (key) points.push(...element(CUE, ...element(CUE_TIME, uint(ms)), ...element(CUE_POSITIONS, ...element(CUE_TRACK, uint(1)), ...element(CUE_CLUSTER, uint(at)))));
      at += size(wholes[i]!);
    }
    return element(CUES, ...points);
  };
  return [
    ...element(EBML, ...element(VERSION, uint(1)), ...element(READ_VERSION, uint(1)), ...element(ID_LENGTH, uint(4)), ...element(SIZE_LENGTH, uint(8)), ...element(DOC_TYPE, text("webm")), ...element(DOC_VERSION, uint(4)), ...element(DOC_READ_VERSION, uint(2))),
    ...element(SEGMENT, ...front, ...cues(size(front) + size(cues(0))), ...wholes.flat()), // Cues are as long whatever they say.
  ];
}

/** A track without what a picture lets through: this one's is opaque. */
function opaque({ id, content }: Element): Bytes[] {
  if (id === ALPHA_MODE) return [];
  return element(id, ...(id === TRACK || id === VIDEO ? within(content).flatMap(opaque) : [content]));
}

function element(id: number, ...content: Bytes[]): Bytes[] {
  const head = [id >>> 24, (id >>> 16) & 0xff, (id >>> 8) & 0xff, id & 0xff];
  while (head[0] === 0) head.shift();
  const long = uint(size(content));
  long[0] = 0x01; // A size in eight bytes begins with this one.
  return [Uint8Array.from(head), long, ...content];
}

const size = (parts: readonly Bytes[]): number => parts.reduce((sum, part) => sum + part.length, 0);
const text = (s: string): Bytes => new TextEncoder().encode(s);

/** Numbers are written in eight bytes, so that how long a file is does not depend on what it says. */
function uint(n: number): Bytes {
  const b = new Uint8Array(8);
  new DataView(b.buffer).setBigUint64(0, BigInt(n));
  return b;
}

function float(n: number): Bytes {
  const b = new Uint8Array(8);
  new DataView(b.buffer).setFloat64(0, n);
  return b;
}

function joined(a: Bytes, b: Bytes): Bytes {
  const whole = new Uint8Array(a.length + b.length);
  whole.set(a);
  whole.set(b, a.length);
  return whole;
}
