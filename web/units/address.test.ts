import assert from "node:assert/strict";
import { test } from "node:test";
import { type Address, formatAddress, parseAddress } from "../src/address/address";


test("an address names the lessons, a lesson, or a stage of it", () => {
  for (const nothing of ["", "#", "#/"]) assert.deepEqual(parseAddress(nothing), { of: "opening" });
  assert.deepEqual(parseAddress("#/lessons"), { of: "lessons" });
  assert.deepEqual(parseAddress("#/lessons/"), { of: "lessons" });
  assert.deepEqual(parseAddress("#/lessons/first-straight-line"), { of: "lesson", id: "first-straight-line", stage: null });
  assert.deepEqual(parseAddress("#/lessons/first-straight-line/2"), { of: "lesson", id: "first-straight-line", stage: 1 });
  assert.deepEqual(parseAddress("#/lessons/first-straight-line/result"), { of: "lesson", id: "first-straight-line", stage: "result" });
});

test("an address names an arm as it stands; what it leaves out is none, the first, and where the arm starts", () => {
  assert.deepEqual(parseAddress("#/arm/plover?cell=wall-mount&tool=pen&joints=1,-2.5,3,4,5,6&rail=350&frame=task&task=tile%202&view=-900,700,800,200,0,300"), {
    of: "arm",
    scene: { arm: "plover", cell: "wall-mount", tool: "pen", joints_deg: [1, -2.5, 3, 4, 5, 6], rail_mm: 350 },
    frame: "task",
    task: "tile 2",
    view: { from_mm: [-900, 700, 800], at_mm: [200, 0, 300] },
    jogs: null,
  });
  assert.deepEqual(parseAddress("#/arm/wren"), { of: "arm", scene: { arm: "wren", cell: "", tool: "" }, frame: null, task: "", view: null, jogs: null });
});

test("what is written is read again, whatever letters are in a name", () => {
  const addresses: Exclude<Address, { of: "nothing" }>[] = [
    { of: "opening" },
    { of: "lessons" },
    { of: "lesson", id: "lección/1?&#", stage: 7 },
    { of: "lesson", id: "result", stage: "result" },
    { of: "class", code: "" },
    { of: "class", code: "ktr wpn" },
    { of: "board" },
    { of: "lesson", id: "a b", stage: null },
    { of: "arm", scene: { arm: "own arm", cell: "a&b=c", tool: "pen (TCP found)", joints_deg: [0.1234, -170, 1e-3, 0, 90, 359.9999], rail_mm: 12.5 }, frame: "task", task: "tile #1 + 50 %", view: { from_mm: [1, -2, 3], at_mm: [4, 5, -6] }, jogs: { text: "version 1\nbase x +30 y -40\ntool about-z -15 # & so on = 100 %" } },
    { of: "arm", scene: { arm: "wren", cell: "", tool: "", joints_deg: [0, 0, 0, 0, 0, 0] }, frame: "joint", task: "", view: null, jogs: { file: "my square +1.txt" } },
  ];
  for (const address of addresses) assert.deepEqual(parseAddress(formatAddress(address)), address, formatAddress(address));
});

test("jogs in an address may be written by hand: a plus sign is one", () => {
  const address = parseAddress("#/arm/wren?jogs=base%20x%20+30%0Abase%20y%20-40");
  assert.deepEqual(address.of === "arm" && address.jogs, { text: "base x +30\nbase y -40" });
});

test("numbers are as short as they can be, and zero has no sign", () => {
  const text = formatAddress({ of: "arm", scene: { arm: "wren", cell: "", tool: "", joints_deg: [-0.0000001, 90.0000001, -12.3456789, 0, 5, 0] }, frame: null, task: "", view: null, jogs: null });
  assert.equal(text, "#/arm/wren?joints=0,90,-12.345679,0,5,0");
});

test("what leads nowhere says what is wrong with it", () => {
  const wrong: [string, string, string][] = [
    ["#/lesson/x", "path", "#/lesson/x"],
    ["#/lessons/x/2/3", "path", "#/lessons/x/2/3"],
    ["#/arm", "path", "#/arm"],
    ["#?x=1", "path", "#?x=1"],
    ["#/lessons/x/0", "stage", "0"],
    ["#/lessons/x/two", "stage", "two"],
    ["#/lessons/x/1e9", "stage", "1e9"],
    ["#/arm/wren?joints=1,2,3", "joints", "1,2,3"],
    ["#/arm/wren?joints=1,2,3,4,5,x", "joints", "1,2,3,4,5,x"],
    ["#/arm/wren?joints=1,2,3,4,5,1e9", "joints", "1,2,3,4,5,1e9"],
    ["#/arm/wren?joints=1,2,3,4,5,", "joints", "1,2,3,4,5,"],
    ["#/arm/wren?joints=NaN,2,3,4,5,6", "joints", "NaN,2,3,4,5,6"],
    ["#/arm/wren?joints=999999,2,3,4,5,6", "joints", "999999,2,3,4,5,6"],
    ["#/arm/wren?rail=far", "rail", "far"],
    ["#/arm/wren?play=../results.txt", "play", "../results.txt"],
    ["#/arm/wren?play=https://college.example/a.txt", "play", "https://college.example/a.txt"],
    ["#/arm/wren?play=.hidden.txt", "play", ".hidden.txt"],
    ["#/arm/wren?play=a.yaml", "play", "a.yaml"],
    ["#/arm/wren?play=a.txt&jogs=base%20x%201", "play", "a.txt"],
    ["#/arm/wren?frame=user", "frame", "user"],
    ["#/arm/wren?view=1,2,3,4,5", "view", "1,2,3,4,5"],
    ["#/arm/wren?view=1,2,3,1,2,3", "view", "1,2,3,1,2,3"],
    ["#/arm/wren?jionts=1", "field", "jionts"],
  ];
  for (const [hash, why, what] of wrong) assert.deepEqual(parseAddress(hash), { of: "nothing", wrong: why, what }, hash);
});

test("no text breaks it", () => {
  for (const hash of ["#/%", "#/lessons/%E0%A4%A", "#/arm/%?joints=%", "#".repeat(1000), "#/" + "x".repeat(1e5), "#/arm/wren?" + "a=b&".repeat(1e4)]) parseAddress(hash);
});
