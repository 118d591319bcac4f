// The hand is a right one. The right-hand rule itself: index finger, middle finger and thumb along X, Y and Z of a
// right-handed frame, and fingers that curl the positive way about the thumb (ISO 9787, clause on right-handed frames;
// from memory). All directions are measured on the points of the skin as drawn, not on what it was made from.
import { expect, type Page } from "@playwright/test";
import { buildHand, measure } from "../src/view/hand";
import { ask, askFrame, bend, cross, dot, jogButton, labelBoxes, open, settled, sub, test, turned, unit, type V3 } from "./bench";

type Measured = ReturnType<typeof measure>;

/** From the first piece of a finger to its last. */
const pointing = (finger: Measured["index"]): V3 => unit(sub(finger.pieces.at(-1)!, finger.pieces[0]!));
const triple = (m: Measured): number => dot(cross(pointing(m.index), pointing(m.middle)), pointing(m.thumb));

/** How a finger bends about the thumb's line: positive for the positive way. */
function curl(m: Measured, finger: "index" | "middle" | "ring" | "little"): number {
  const [a, b, c] = m[finger].pieces as [V3, V3, V3];
  return dot(cross(unit(sub(b, a)), unit(sub(c, b))), pointing(m.thumb));
}

/**
 * Which hand it is, by anatomy alone: fingers bend away from their nails, and with the palm away from the viewer and
 * the fingers up, the thumb of a right hand is on the left. +1 for a right hand, -1 for a left one.
 */
function handedness(m: Measured): number {
  const { pieces, nail } = m.index;
  const along = pointing(m.index);
  const back = sub(nail, pieces.at(-1)!);
  const palm = unit(back.map((x, i) => dot(back, along) * along[i]! - x) as V3);
  return dot(cross(along, palm), pointing(m.thumb));
}

for (const pose of ["axes", "curl"] as const) {
  test(`the ${pose} hand is a right hand, and its mirror image is not`, () => {
    const hand = buildHand(pose);
    const right = measure(hand);
    hand.scale.z = -1;
    const left = measure(hand);
    const values = (m: Measured): number[] => (pose === "axes" ? [triple(m), handedness(m)] : (["index", "middle", "ring", "little"] as const).map((f) => curl(m, f)));
    for (const value of values(right)) expect(value).toBeGreaterThan(0.7);
    for (const value of values(left)) expect(value).toBeLessThan(-0.7);
  });
}

const measured = (page: Page): Promise<Measured> => page.evaluate(() => (window as any).handrule.view.hand.measured());

/** The active frame's axes as the bench says, turned into the picture's coordinates. */
async function axes(page: Page): Promise<[V3, V3, V3]> {
  const { q, base } = await page.evaluate(() => {
    const { view, state } = (window as any).handrule;
    return { q: state.active_axes.q, base: view.base.quaternion.toArray() };
  });
  return ([[1, 0, 0], [0, 1, 0], [0, 0, 1]] as V3[]).map((axis) => turned(turned(axis, q), base)) as [V3, V3, V3];
}

/** Points at a jog button, and waits until the picture shows its direction. */
async function point(page: Page, axis: number, sign: number): Promise<void> {
  await jogButton(page, axis, sign).focus();
  await page.waitForFunction(
    ([a, s]) => {
      const { view, setup } = (window as any).handrule;
      const d = view.direction;
      return d?.axis === a && d.sign === s && d.frame === setup.frame && view.scheduled === 0;
    },
    [axis, sign],
  );
}

/** Aims at the directions of the active frame, and looks at the hand at each of its places. */
async function inFrame(page: Page, places = ["tcp", "origin"]): Promise<void> {
  for (const where of places) {
    await page.locator("#hand").selectOption(where);
    await point(page, 0, 1);
    const [x, y, z] = await axes(page);
    const hand = await measured(page);
    expect(triple(hand)).toBeCloseTo(1, 2);
    expect(dot(pointing(hand.index), x)).toBeGreaterThan(0.998);
    expect(dot(pointing(hand.middle), y)).toBeGreaterThan(0.998);
    expect(dot(pointing(hand.thumb), z)).toBeGreaterThan(0.998);
    expect(handedness(hand)).toBeGreaterThan(0.9);
    for (const [axis, about] of [[3, x], [4, y], [5, z]] as const) {
      for (const sign of where === "tcp" ? [1, -1] : [1]) {
        await point(page, axis, sign);
        const fist = await measured(page);
        expect(dot(pointing(fist.thumb), about) * sign).toBeGreaterThan(0.998);
        for (const finger of ["index", "middle", "ring", "little"] as const) expect(curl(fist, finger)).toBeGreaterThan(0.7);
      }
    }
  }
}

test("index, middle finger and thumb are along X, Y and Z in every frame", async ({ page }) => {
  await open(page);
  await bend(page, [25, 10, -20, 15, 50, 40]);
  for (const name of ["base", "world", "tool"]) {
    await askFrame(page, name);
    await inFrame(page);
  }
});

test("they still are on an arm that hangs on a wall", async ({ page }) => {
  await open(page);
  await ask(page, { type: "cell", id: "wall-mount" });
  await page.waitForFunction(() => Math.abs((window as any).handrule.view.base.quaternion.y) > 0.7);
  await bend(page, [25, 10, -20, 15, 50, 40]);
  for (const name of ["base", "world"]) {
    await askFrame(page, name);
    await inFrame(page, ["tcp"]);
  }
});

test("a joint's turn is shown at the joint, thumb along its axis", async ({ page }) => {
  await open(page);
  await ask(page, { type: "cell", id: "wall-mount" });
  await bend(page, [25, 10, -20, 15, 50, 40]);
  await page.waitForFunction(() => Math.abs((window as any).handrule.view.base.quaternion.y) > 0.7);
  for (let joint = 0; joint < 6; joint++) {
    for (const sign of joint % 2 ? [1] : [1, -1]) {
      await point(page, joint, sign);
      const hand = await measured(page);
      const { axis, q, base } = await page.evaluate((j) => {
        const { view, state } = (window as any).handrule;
        return { axis: view.message.joints[j].axis, q: state.links[j].q, base: view.base.quaternion.toArray() };
      }, joint);
      expect(dot(pointing(hand.thumb), turned(turned(axis, q), base)) * sign).toBeGreaterThan(0.998);
      for (const finger of ["index", "middle", "ring", "little"] as const) expect(curl(hand, finger)).toBeGreaterThan(0.7);
    }
  }
});

test("the direction in hand is the one pointed at, or else the one chosen by keys; without one the hand shows the frame's axes", async ({ page }) => {
  await open(page);
  await askFrame(page, "base");
  const axis = () => page.evaluate(() => (window as any).handrule.view.direction?.axis ?? null);
  await jogButton(page, 2, -1).click();
  await expect.poll(axis).toBe(2);
  await page.mouse.move(683, 250);
  await expect.poll(axis).toBeNull();
  expect(triple(await measured(page))).toBeCloseTo(1, 2);
  const says = page.locator("#hand-says");
  await expect(says).toHaveText("Right hand: thumb Z, index X, middle finger Y");
  await jogButton(page, 4, -1).hover();
  await expect(says).toHaveText("Right thumb against Y: fingers curl to minus");
  await page.mouse.move(683, 250);
  await expect.poll(axis).toBeNull();
  await expect(page.locator(".jog.aimed")).toHaveCount(0);
  // One that was chosen by a key comes back when the pointer has left another, and goes with Esc.
  await page.keyboard.press("2");
  await expect.poll(axis).toBe(1);
  await jogButton(page, 0, 1).hover();
  await expect.poll(axis).toBe(0);
  await page.mouse.move(683, 250);
  await expect.poll(axis).toBe(1);
  await page.keyboard.press("Escape");
  await expect.poll(axis).toBeNull();
  await page.keyboard.press("2");
  await expect.poll(axis).toBe(1);
});

test("on a phone the first words about the hand move neither the picture nor what stands below it", async ({ page }) => {
  await page.setViewportSize({ width: 390, height: 844 });
  await open(page);
  await settled(page);
  await expect(page.locator("#hand-says")).toBeEmpty();
  const stands = () =>
    page.evaluate(() => ({
      free: (window as any).handrule.view.free,
      at: ["view", "strip", "readout"].map((id) => (({ x, y, width, height }) => [x, y, width, height])(document.getElementById(id)!.getBoundingClientRect())),
    }));
  const before = await stands();
  await jogButton(page, 2, -1).click();
  await expect(page.locator("#hand-says")).not.toBeEmpty();
  await settled(page);
  expect(await stands()).toEqual(before);
});

test("while the learner predicts, the hand tells no axes", async ({ page }) => {
  await open(page);
  await askFrame(page, "base");
  await expect.poll(() => measured(page)).not.toBeNull();
  await page.locator("#predict-switch").click();
  await expect.poll(() => measured(page)).toBeNull();
});

test("the hand is there for a direction or a frame, and can be put away", async ({ page }) => {
  await open(page);
  expect(await measured(page)).toBeNull();
  await askFrame(page, "base");
  await jogButton(page, 0, 1).hover();
  await expect.poll(() => measured(page)).not.toBeNull();
  await page.locator("#hand").selectOption("none");
  expect(await measured(page)).toBeNull();
  await page.keyboard.press("Escape");
  await page.locator("#view").focus();
  await page.keyboard.press("r");
  await expect(page.locator("#hand")).toHaveValue("tcp");
  await jogButton(page, 0, 1).hover();
  await expect.poll(() => measured(page)).not.toBeNull();
});

test("from behind the base it is held like the viewer's own: fingers away, thumb up, palm to the left", async ({ page }) => {
  await open(page);
  await askFrame(page, "base");
  await page.locator("[data-look=behind]").click();
  await jogButton(page, 0, 1).hover();
  await expect.poll(() => measured(page)).not.toBeNull();
  await settled(page);
  const hand = await measured(page);
  const [right, up, back] = await page.evaluate(() => {
    const m = (window as any).handrule.view.orbitCamera.camera.matrixWorld.elements;
    return [0, 4, 8].map((i) => [m[i], m[i + 1], m[i + 2]]);
  }) as [V3, V3, V3];
  expect(dot(pointing(hand.index), back)).toBeLessThan(-0.9);
  expect(dot(pointing(hand.thumb), up)).toBeGreaterThan(0.9);
  expect(dot(pointing(hand.middle), right)).toBeLessThan(-0.9);
});

/** Where the points of the hand's skin are seen, those of the tool's middle line, and the TCP; px from the picture's top left corner. */
function silhouette(page: Page): Promise<{ skin: [number, number][]; tool: [number, number][] }> {
  return page.evaluate(() => {
    const { view } = (window as any).handrule;
    const { camera } = view.orbitCamera;
    const host = document.getElementById("view")!;
    const seen = (p: any): [number, number] => (p.project(camera), [((p.x + 1) / 2) * host.clientWidth, ((1 - p.y) / 2) * host.clientHeight]);
    const skin: [number, number][] = [];
    const shape = view.hand.held.children.find((c: any) => c.visible).children[0];
    const at = shape.geometry.getAttribute("position");
    const p = camera.position.clone();
    for (let i = 0; i < at.count; i++) skin.push(seen(p.fromBufferAttribute(at, i).applyMatrix4(shape.matrixWorld)));
    const [flange, tip] = [view.arm.flange, view.tcp.object].map((o: any) => o.getWorldPosition(camera.position.clone()));
    return { skin, tool: [0, 0.2, 0.4, 0.6, 0.8, 1].map((t) => seen(flange.clone().lerp(tip, t))) };
  });
}

test("the hand hides neither the tool nor a label, and a line leads to what it stands for", async ({ page }) => {
  await page.emulateMedia({ reducedMotion: "reduce" });
  await open(page);
  await bend(page, [25, 10, -20, 15, 50, 40]);
  for (const name of ["base", "tool"]) {
    await askFrame(page, name);
    for (const look of ["behind", "front", "left", "right"]) {
      await page.evaluate((at) => (window as any).handrule.view.lookFrom(at), look);
      await point(page, 0, 1);
      await page.waitForFunction(() => ((v) => v.scheduled === 0 && v.orbitCamera.glide === null)((window as any).handrule.view));
      const { skin, tool } = await silhouette(page);
      const where = `${name} frame from ${look}`;
      for (const [x, y] of tool) expect(Math.min(...skin.map((s) => Math.hypot(s[0] - x, s[1] - y))), `the tool, ${where}`).toBeGreaterThan(3);
      const { boxes, tcp } = await labelBoxes(page);
      expect(boxes.map((b) => b.text)).toEqual(expect.arrayContaining(["J1", "J2", "J3", "J4", "J5", "J6", "Y", "Z"]));
      for (const b of boxes) {
        if (!/^(J\d|[XYZ]|X \+)$/.test(b.text)) continue;
        const hidden = skin.filter(([x, y]) => Math.abs(x - b.x) < b.w / 2 - 3 && Math.abs(y - b.y) < b.h / 2 - 3);
        expect(hidden.length, `${b.text}, ${where}`).toBe(0);
      }
      // The line begins at the TCP, and the hand is near.
      const line = await page.evaluate(() => {
        const { leader, held: object } = (window as any).handrule.view.hand;
        return { shown: leader.object.visible, from: [...leader.buffer.array.slice(0, 3)], to: [...leader.buffer.array.slice(4, 7)], hand: object.position.toArray(), tip: (window as any).handrule.state.tcp_place.p };
      });
      expect(line.shown).toBe(true);
      for (const [a, b] of [[line.from, line.tip], [line.to, line.hand]]) expect(Math.hypot(...sub(a as V3, b as V3))).toBeLessThan(0.01);
      expect(Math.min(...skin.map((s) => Math.hypot(s[0] - tcp.x, s[1] - tcp.y))), `near, ${where}`).toBeLessThan(768 / 4.5);
    }
  }
});
