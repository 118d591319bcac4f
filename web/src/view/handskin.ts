import { BufferAttribute, type BufferGeometry, CylinderGeometry, MeshStandardMaterial, SphereGeometry, TorusGeometry, Vector3 } from "three";
import { mergeGeometries } from "three/addons/utils/BufferGeometryUtils.js";
import { skinOf, smoothMax, type Solid } from "./casting";
import { painted } from "./fittings";
import { type Bone, type Bones, fingers, wrist } from "./handbones";
import { armColours } from "./palette";

const cell = 2.2; // mm
/** A finger's tip is dipped in glaze this far, in mm; a finger that is pointed at, to its knuckle. */
export const dipped = { tip: 19, whole: 300 };

/**
 * The skin of the hand in one piece. Attributes: "shade", how open a point is; "bone", five times the piece counted
 * from the knuckle plus the finger's number, or -1 on the palm; "fromTip", how far from its finger's tip a point is.
 */
export function handSkin(bones: Bones): BufferGeometry {
  const palm = bones.palm.map(rod);
  const each = fingers.map((name) => bones.fingers[name].map(rod));
  const solid: Solid = (x, y, z) => {
    let d = palm[0]!(x, y, z);
    for (let i = 1; i < palm.length; i++) d = blend(d, palm[i]!(x, y, z), 9);
    // Fingers that lie against each other stay apart; each runs into the palm.
    let f = Infinity;
    for (const pieces of each) {
      let one = pieces[0]!(x, y, z);
      for (let i = 1; i < pieces.length; i++) one = blend(one, pieces[i]!(x, y, z), 2.5);
      f = f === Infinity ? one : blend(f, one, 1.2);
    }
    return blend(d, f, 6);
  };
  const { min, max } = bounds(bones, 10);
  const skin = skinOf(solid, min, max, cell, 9);
  const { array, count } = skin.getAttribute("position");
  const bone = new Float32Array(count);
  const fromTip = new Float32Array(count);
  const p = new Vector3();
  for (let i = 0; i < count; i++) {
    p.fromArray(array, 3 * i);
    const owner = nearest(bones, p);
    bone[i] = owner.bone;
    fromTip[i] = owner.fromTip;
  }
  skin.setAttribute("bone", new BufferAttribute(bone, 1));
  skin.setAttribute("fromTip", new BufferAttribute(fromTip, 1));
  return skin;
}

/** The finger nails, on the side away from the palm. Attribute "finger": its number. */
export function nails(bones: Bones): BufferGeometry {
  const parts = fingers.map((name, i) => {
    const pieces = bones.fingers[name];
    const last = pieces.at(-1)!;
    const along = last.to.clone().sub(last.from).normalize();
    // Long fingers bend about Z, so that their back is square to it. The thumb lies across them and shows its nail
    // to the side away from the palm, turned a little.
    const back = name === "thumb" ? new Vector3(-0.75, -0.66, 0) : new Vector3(along.y, -along.x, 0);
    back.addScaledVector(along, -back.dot(along)).normalize();
    const across = along.clone().cross(back);
    const r = last.toRadius;
    const nail = new SphereGeometry(1, 20, 14);
    const centre = last.to.clone().addScaledVector(along, -r * 0.35).addScaledVector(back, r * 0.42);
    const { array, count } = nail.getAttribute("position");
    for (let v = 0; v < count; v++) {
      const p = new Vector3().fromArray(array, 3 * v);
      const q = centre.clone().addScaledVector(along, p.x * r * 1.15).addScaledVector(back, p.y * r * 0.68).addScaledVector(across, p.z * r * 0.74);
      q.toArray(array, 3 * v);
    }
    nail.computeVertexNormals();
    nail.deleteAttribute("uv");
    nail.setAttribute("finger", new BufferAttribute(new Float32Array(count).fill(i), 1));
    return nail;
  });
  return mergeGeometries(parts);
}

/** A turned cuff where the hand ends. */
export function cuff(): BufferGeometry {
  const ring = (shape: BufferGeometry, x: number, colour: typeof armColours.slip): BufferGeometry => {
    const flat = shape.toNonIndexed();
    shape.dispose();
    return painted(flat, colour).rotateZ(Math.PI / 2).scale(1, 1, 1.16).translate(wrist.x + x, wrist.y, wrist.z);
  };
  return mergeGeometries([
    ring(new CylinderGeometry(24.5, 25.5, 38, 56), -19, armColours.slip),
    ring(new TorusGeometry(24.3, 2.6, 14, 56).rotateX(Math.PI / 2), 0, armColours.slip),
    ring(new TorusGeometry(24.8, 1.5, 12, 56).rotateX(Math.PI / 2), -9, armColours.ring),
  ]);
}

/** Blue-grey biscuit, whose colour is the theme's, and whose fingers are dipped in coloured glaze: one colour and one depth for each finger. */
export function biscuit(): MeshStandardMaterial & { dips: { value: number[] }; glazes: { value: Vector3[] } } {
  const dips = { value: fingers.map(() => 0) };
  const glazes = { value: fingers.map(() => new Vector3()) };
  const material = new MeshStandardMaterial({ roughness: 0.7 });
  material.onBeforeCompile = (shader) => {
    Object.assign(shader.uniforms, { dips, glazes });
    shader.vertexShader = shader.vertexShader
      .replace(
        "#include <common>",
        `#include <common>
attribute float shade;
attribute float bone;
attribute float fromTip;
uniform float dips[5];
uniform vec3 glazes[5];
varying float vShade;
varying float vDip;
varying vec3 vGlaze;
varying vec3 vAt;`,
      )
      .replace(
        "#include <begin_vertex>",
        `#include <begin_vertex>
vShade = shade;
vAt = position;
int finger = int(mod(bone + 0.5, 5.0));
vDip = bone < -0.5 ? -9.0 : dips[finger] - fromTip;
vGlaze = glazes[finger];`,
      );
    shader.fragmentShader = shader.fragmentShader
      .replace("#include <common>", `#include <common>\nvarying float vShade;\nvarying float vDip;\nvarying vec3 vGlaze;\nvarying vec3 vAt;`)
      .replace(
        "#include <color_fragment>",
        `#include <color_fragment>
float line = vDip + 0.5 * sin(vAt.x * 0.3 + vAt.z * 0.24) + 0.4 * sin(vAt.y * 0.33);
float soft = max(fwidth(line), 0.2);
float glazed = smoothstep(-soft, soft, line);
diffuseColor.rgb = mix(diffuseColor.rgb, vGlaze, glazed);
// Creases and the edges of the silhouette are darker, so that the hand stands out from a light floor.
diffuseColor.rgb *= mix(vec3(0.4, 0.42, 0.46), vec3(1.0), smoothstep(0.05, 0.85, vShade));
float rim = 1.0 - abs(dot(normalize(vNormal), normalize(vViewPosition)));
diffuseColor.rgb *= mix(1.0, 0.6, smoothstep(0.6, 1.0, rim));`,
      )
      .replace("#include <roughnessmap_fragment>", `#include <roughnessmap_fragment>\nroughnessFactor = mix(roughnessFactor, 0.3, glazed);`);
  };
  return Object.assign(material, { dips, glazes });
}

/** Which finger's which piece a point of the skin belongs to; the palm's for -1. */
function nearest(bones: Bones, p: Vector3): { bone: number; fromTip: number } {
  let best = Infinity;
  let owner = { bone: -1, fromTip: 1000 };
  for (const b of bones.palm) best = Math.min(best, distance(b, p).d);
  fingers.forEach((name, f) => {
    const pieces = bones.fingers[name];
    pieces.forEach((b, i) => {
      const { d, s } = distance(b, p);
      if (d >= best) return;
      best = d;
      let left = lengthOf(b) - s + b.toRadius;
      for (const further of pieces.slice(i + 1)) left += lengthOf(further);
      // Past the end of the last piece, the tip's cap goes on to its pole.
      owner = { bone: 5 * i + f, fromTip: left };
    });
  });
  return owner;
}

const lengthOf = (b: Bone): number => b.from.distanceTo(b.to);

/** Distance to the surface of a piece, and how far along it that is, ends included. */
function distance(b: Bone, p: Vector3): { d: number; s: number } {
  const length = lengthOf(b);
  const along = b.to.clone().sub(b.from).divideScalar(length);
  const free = p.clone().sub(b.from).dot(along);
  const s = Math.min(length, Math.max(0, free));
  const axis = b.from.clone().addScaledVector(along, s);
  return { d: p.distanceTo(axis) - (b.fromRadius + ((b.toRadius - b.fromRadius) * s) / length), s: Math.max(free, 0) };
}

function rod(b: Bone): Solid {
  const length = lengthOf(b);
  const along = b.to.clone().sub(b.from).divideScalar(length);
  const { x: ox, y: oy, z: oz } = b.from;
  const { x: ax, y: ay, z: az } = along;
  const grow = (b.toRadius - b.fromRadius) / length;
  return (x, y, z) => {
    // Called millions of times, hence no Math.hypot, which is several times slower.
    let px = x - ox;
    let py = y - oy;
    let pz = z - oz;
    const free = px * ax + py * ay + pz * az;
    const s = free < 0 ? 0 : free > length ? length : free;
    px -= ax * s;
    py -= ay * s;
    pz -= az * s;
    return Math.sqrt(px * px + py * py + pz * pz) - b.fromRadius - grow * s;
  };
}

/** The union of two solids, with a fillet of the width k. */
function blend(a: number, b: number, k: number): number {
  return -smoothMax(-a, -b, k);
}

function bounds(bones: Bones, margin: number): { min: Vector3; max: Vector3 } {
  const min = new Vector3(Infinity, Infinity, Infinity);
  const max = min.clone().negate();
  for (const b of [...bones.palm, ...fingers.flatMap((f) => bones.fingers[f])]) {
    for (const [end, r] of [[b.from, b.fromRadius], [b.to, b.toRadius]] as const) {
      min.min(end.clone().subScalar(r + margin));
      max.max(end.clone().addScalar(r + margin));
    }
  }
  return { min, max };
}
