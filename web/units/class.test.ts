import assert from "node:assert/strict";
import { beforeEach, mock, test } from "node:test";

// A page as little as these need, and a socket whose other end is the test.
const kept = new Map<string, string>();
const storage = { getItem: (k: string) => kept.get(k) ?? null, setItem: (k: string, v: string) => void kept.set(k, v), removeItem: (k: string) => void kept.delete(k) };
class FakeSocket {
  static OPEN = 1;
  static all: FakeSocket[] = [];
  readyState = 1;
  sent: any[] = [];
  binaryType = "";
  onmessage: ((event: { data: unknown }) => void) | null = null;
  onclose: ((event: { code: number }) => void) | null = null;
  constructor(readonly url: URL) {
    FakeSocket.all.push(this);
  }
  send(text: string): void {
    this.sent.push(JSON.parse(text));
  }
  close(): void {
    this.readyState = 3;
  }
  says(message: object): void {
    this.onmessage?.({ data: JSON.stringify(message) });
  }
  drops(): void {
    this.readyState = 3;
    this.onclose?.({ code: 1006 });
  }
}
Object.assign(globalThis, {
  window: Object.assign(globalThis, { addEventListener: () => {}, removeEventListener: () => {} }),
  localStorage: storage,
  sessionStorage: storage,
  WebSocket: FakeSocket,
  location: { protocol: "https:", hash: "", search: "" },
  document: { baseURI: "https://sandbox.test/robots/", documentElement: { lang: "en", dataset: { classOffered: "" }, classList: { contains: () => false } } },
});
const { ClassLink } = await import("../src/class/link");
const { seat, tidy, halves, benchIsOf } = await import("../src/class/seat");
const { jogLine } = await import("../src/class/ask");
const { tileSize } = await import("../src/class/board");
const { placeOfFrame, Shown } = await import("../src/shell/shown");

beforeEach(() => {
  kept.clear();
  FakeSocket.all.length = 0;
  mock.timers.reset();
  mock.timers.enable({ apis: ["setTimeout"] });
});

test("a code is forgiven how it is typed", () => {
  for (const typed of ["KTRWPN", "ktrwpn", " ktr wpn ", "KTR-WPN", "ktr\u00a0wpn"]) assert.equal(tidy(typed), "KTRWPN");
  assert.equal(halves("KTRWPN"), "KTR WPN");
});

test("a device comes back to its class by a token of its own, for that class alone", () => {
  assert.equal(benchIsOf(), null);
  seat.take("KTRWPN", "mine");
  assert.deepEqual(benchIsOf(), { code: "KTRWPN", token: "mine" });
  assert.equal(seat.token("BCDFGH"), "");
  seat.leave("KTRWPN", false);
  assert.equal(benchIsOf(), null);
  assert.equal(seat.token("KTRWPN"), "mine"); // with the code the learner finds the same place
  seat.leave("KTRWPN", true);
  assert.equal(seat.token("KTRWPN"), "");
});

const events = (heard: unknown[]) => ({
  reply: (message: object) => void heard.push(message),
  arm: (data: unknown) => void heard.push(data),
  up: (up: boolean) => void heard.push(up),
  over: (problem: object) => void heard.push(problem),
});

test("the connection to a class lies beside that of the bench, comes back with the token, and parts the arm's messages from the class's", () => {
  const heard: any[] = [];
  let token = "";
  const link = new ClassLink("KTRWPN", () => token, true, events(heard));
  const first = FakeSocket.all[0]!;
  assert.equal(first.url.href, "wss://sandbox.test/robots/class?code=KTRWPN&token=&as=learner&lang=en");
  first.says({ type: "class-welcome", token: "new" });
  token = "new";
  first.says({ type: "arm", id: "wren" });
  first.onmessage!({ data: new ArrayBuffer(8) });
  assert.deepEqual(heard.map((h) => h.type ?? (typeof h === "string" ? JSON.parse(h).type : h)), [true, "class-welcome", "arm", heard[3]]);
  assert.ok(heard[3] instanceof ArrayBuffer);
  assert.equal(link.send({ type: "hand", up: true }), true);
  first.drops();
  assert.equal(heard.at(-1), false);
  assert.equal(link.send({ type: "hand", up: false }), false);
  mock.timers.tick(300);
  assert.equal(FakeSocket.all.length, 2);
  assert.equal(FakeSocket.all[1]!.url.searchParams.get("token"), "new");
});

test("a page that waits to be let in is told so by its class, and is not up before it is", () => {
  const heard: any[] = [];
  new ClassLink("KTRWPN", () => "", true, events(heard));
  FakeSocket.all[0]!.says({ type: "class-wait", seconds: 5 });
  assert.deepEqual(heard, [{ type: "class-wait", seconds: 5 }]);
});

test("a class that is over for this device is not tried again", () => {
  const heard: any[] = [];
  new ClassLink("KTRWPN", () => "", true, events(heard));
  FakeSocket.all[0]!.says({ type: "class-problem", message: "This class takes nobody new now.", fatal: true });
  FakeSocket.all[0]!.drops();
  mock.timers.tick(60_000);
  assert.equal(FakeSocket.all.length, 1);
  assert.deepEqual(heard, [{ type: "class-problem", message: "This class takes nobody new now.", fatal: true }]);
});

test("an aimed jog is a line of a jog file", () => {
  assert.equal(jogLine({ frame: "base", task: "", axis: 1, sign: 1 }, 100), "base y +100");
  assert.equal(jogLine({ frame: "task", task: "tile", axis: 5, sign: -1 }, 5), "task tile about-z -5");
  assert.equal(jogLine({ frame: "joint", task: "", axis: 4, sign: -1 }, 2.5), "joint J5 -2.5");
});

const half = Math.SQRT1_2;
const cell: any = { base: { p: [100, 0, 50], q: [0, 0, half, half] }, tasks: [{ name: "tile", place: { p: [100, 200, 50], q: [0, 0, 0, 1] } }] };
const tcp: any = { p: [1, 2, 3], q: [0, 1, 0, 0] };

test("a follower's own frame is where the server would have it", () => {
  assert.deepEqual(placeOfFrame({ frame: "tool", task: "" }, cell, tcp), tcp);
  assert.deepEqual(placeOfFrame({ frame: "base", task: "" }, cell, tcp), { p: [0, 0, 0], q: [0, 0, 0, 1] });
  const near = (got: any, want: any): void => [...got.p, ...got.q].forEach((x: number, i: number) => assert.ok(Math.abs(x - [...want.p, ...want.q][i]) < 1e-12, `${JSON.stringify(got)}, want ${JSON.stringify(want)}`));
  // The base stands at 100, 0, 50, turned by 90° about Z: what is 200 along the world's Y is 200 along its X.
  near(placeOfFrame({ frame: "task", task: "tile" }, cell, tcp), { p: [200, 0, 0], q: [0, 0, -half, half] });
  near(placeOfFrame({ frame: "world", task: "" }, cell, tcp), { p: [0, 100, -50], q: [0, 0, -half, half] });
});

/** A bench's messages until the arm stands there, with its joints at that angle. */
function standing(id: string, deg: number): (string | ArrayBuffer)[] {
  const places = { p: [0, 0, 0], q: [0, 0, 0, 1] };
  const texts = [
    { type: "arm", id },
    { type: "cell", id: "", base: places, tasks: [] },
    { type: "setup", arm: id, frame: "base", task: "", read_in: { frame: "world", task: "" }, unit: "mm" },
    { type: "frames", read: places, active: places },
    { type: "motion", moving: null, slowed_by: "", crashes: 0, put: 1 },
  ].map((m) => JSON.stringify(m));
  const frame = new ArrayBuffer(4096);
  new DataView(frame).setFloat64(8, deg, true);
  return [...texts, frame];
}

test("an arm that is followed is shown once all of it is there; one's own goes on unseen, and is found again", () => {
  const told: any[] = [];
  const fake: any = { reply: (m: any) => told.push(m.type), setState: (s: any) => told.push(`state ${s.put}`), putAway: () => told.push("put away") };
  const sent: any[] = [];
  let refused = 0;
  const shown = new Shown(fake, { send: (r) => sent.push(r.type), ownState: () => {}, refused: () => refused++, reads: () => sent.push("reads") });
  for (const m of standing("wren", 0)) if (typeof m === "string" && /arm|cell|setup/.test(JSON.parse(m).type)) shown.reply(JSON.parse(m));
  shown.state({ put: 7 } as any);
  assert.deepEqual(told.splice(0), ["arm", "cell", "setup", "state 7"]);
  shown.follow();
  const [arm, ...rest] = standing("plover", 10);
  shown.hear(arm!);
  shown.reply({ type: "setup" } as any);
  assert.deepEqual(told.splice(0), ["setup"]); // still one's own
  for (const m of rest) shown.hear(m);
  assert.deepEqual(told.splice(0), ["put away", "arm", "setup", "state 1"]); // the cell is in the picture
  shown.state({ put: 8 } as any);
  shown.reply({ type: "ghost" } as any);
  shown.reply({ type: "progress" } as any);
  assert.deepEqual(told.splice(0), ["progress"]); // of one's own only what is not of the arm
  shown.send({ type: "step", direction: { frame: "base", task: "", axis: 0, sign: 1 } });
  shown.send({ type: "aim", direction: null });
  shown.send({ type: "read-in", frame: "base", task: "" });
  assert.deepEqual([refused, sent.splice(0)], [1, ["reads"]]);
  told.length = 0;
  shown.leave();
  assert.deepEqual(told.splice(0), ["arm", "setup", "state 8", "ghost"]); // in the cell that is in the picture
  shown.send({ type: "step", direction: { frame: "base", task: "", axis: 0, sign: 1 } });
  assert.deepEqual(sent, ["step"]);
});

test("the texts of a class are taken up beside those of the page", async () => {
  const { alsoSay, say } = await import("../src/basics/say");
  Object.assign(document, { getElementById: () => ({ textContent: JSON.stringify({ "number.decimal": ".", "log.undo": "undo" }) }) });
  alsoSay({ "class.hands": { by: "count", one: "{count} hand up", other: "{count} hands up" } });
  assert.equal(say("class.hands", { count: 1 }), "1 hand up");
  assert.equal(say("class.hands", { count: 2 }), "2 hands up");
  assert.equal(say("log.undo"), "undo");
});

test("the tiles of a class are as large as they can be, and all are on the screen", () => {
  for (const [width, height] of [[1860, 700], [1300, 480], [360, 600]] as const) {
    for (const count of [1, 2, 3, 7, 30, 100, 300, 500]) {
      const size = tileSize(width, height, count);
      const fits = (size: number): boolean => {
        const columns = Math.floor((width - 5) / (size + 5));
        return columns > 0 && Math.ceil(count / columns) * (size + 5) + 5 <= height;
      };
      assert.ok(fits(size), `${count} tiles of ${size} px`);
      assert.ok(size === 240 || !fits(size + 2), `${count} tiles could be larger than ${size} px`);
    }
  }
  assert.ok(tileSize(1860, 700, 100) >= 47, "the marks of a hundred tiles are read from the back row");
  assert.equal(tileSize(1860, 700, 0), 0);
});
