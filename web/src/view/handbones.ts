import { Vector3 } from "three";

/**
 * The bones of a right hand, in mm, about the size of a grown-up's. The hand's own frame: the straight index finger
 * lies on +X, the palm faces +Y, and the thumb is on the side of +Z. On a left hand it would be on the other side.
 */
export type Finger = "thumb" | "index" | "middle" | "ring" | "little";
export const fingers: readonly Finger[] = ["thumb", "index", "middle", "ring", "little"];

/** "axes" points index, middle finger and thumb along X, Y and Z; "curl" closes the fingers around the thumb's line. */
export type Pose = "axes" | "curl";

/** A piece of a finger or of the palm: a rod that may get thinner. */
export interface Bone {
  from: Vector3;
  to: Vector3;
  fromRadius: number;
  toRadius: number;
}

export interface Bones {
  /** Of each finger, from the knuckle to the tip. */
  fingers: Record<Finger, Bone[]>;
  palm: Bone[];
  /** What the hand is about: where the axes meet, or a point of the line that the fingers close around. */
  centre: Vector3;
}

const at = (x: number, y: number, z: number): Vector3 => new Vector3(x, y, z);

interface LongFinger {
  knuckle: Vector3;
  lengths: readonly number[];
  radii: readonly number[];
}

const longFingers: Record<Exclude<Finger, "thumb">, LongFinger> = {
  index: { knuckle: at(0, 0, 0), lengths: [44, 27, 19], radii: [10, 8.9, 8.1, 6.8] },
  middle: { knuckle: at(5, -2, -22.5), lengths: [49, 31, 20], radii: [10.2, 9.2, 8.3, 7] },
  ring: { knuckle: at(0, -1, -43.5), lengths: [45, 29, 20], radii: [9.7, 8.6, 7.8, 6.6] },
  little: { knuckle: at(-10, 2, -62), lengths: [36, 21, 18], radii: [8.7, 7.5, 6.8, 5.8] },
};

/** How far each joint of each long finger is bent towards the palm, in degrees. */
const bends: Record<Pose, Record<Exclude<Finger, "thumb">, readonly number[]>> = {
  axes: { index: [0, 0, 0], middle: [90, 0, 0], ring: [84, 98, 52], little: [82, 96, 50] },
  curl: { index: [62, 78, 46], middle: [66, 80, 48], ring: [70, 82, 50], little: [76, 82, 50] },
};

const thumbs: Record<Pose, Vector3[]> = {
  axes: [at(-74, 9, -8), at(-37, 13, 24), at(-37, 13, 60), at(-37, 13, 89)],
  curl: [at(-74, 9, -8), at(-30, 18, 24), at(-30, 18, 60), at(-30, 18, 89)],
};
const thumbRadii = [14, 11.8, 10.4, 8.4];

export function bonesOf(pose: Pose): Bones {
  const long = (name: Exclude<Finger, "thumb">): Bone[] => {
    const { knuckle, lengths, radii } = longFingers[name];
    let from = knuckle;
    let bend = 0;
    return lengths.map((length, i) => {
      bend += (bends[pose][name][i]! * Math.PI) / 180;
      const bone = { from, to: from.clone().add(at(Math.cos(bend) * length, Math.sin(bend) * length, 0)), fromRadius: radii[i]!, toRadius: radii[i + 1]! };
      from = bone.to;
      return bone;
    });
  };
  const [root, knuckle, joint, tip] = thumbs[pose] as [Vector3, Vector3, Vector3, Vector3];
  const rod = (from: Vector3, to: Vector3, fromRadius: number, toRadius: number): Bone => ({ from, to, fromRadius, toRadius });
  return {
    fingers: {
      thumb: [rod(knuckle, joint, thumbRadii[1]!, thumbRadii[2]!), rod(joint, tip, thumbRadii[2]!, thumbRadii[3]!)],
      index: long("index"),
      middle: long("middle"),
      ring: long("ring"),
      little: long("little"),
    },
    palm: [
      rod(at(-82, 0, -12), longFingers.index.knuckle, 14, 11.5),
      rod(at(-84, -1, -24), longFingers.middle.knuckle, 14.5, 11.8),
      rod(at(-84, 0, -36), longFingers.ring.knuckle, 14, 11),
      rod(at(-82, 2, -46), longFingers.little.knuckle, 13, 10),
      rod(root, knuckle, 15, 12.5), // the thumb's own palm bone
      rod(at(-70, 10, -8), at(-42, 12, 8), 13, 10), // its ball
      rod(at(-76, 8, -48), at(-34, 8, -58), 11, 9), // the ball of the little finger
      rod(at(-44, 8, 8), at(-16, 3, 2), 7, 7), // the web between thumb and index finger
      rod(at(-90, 0, -26), at(-112, 0, -28), 19, 19), // the wrist
      rod(at(-90, 0, -34), at(-112, 0, -32), 19, 19),
    ],
    centre: pose === "axes" ? at(0, 0, 0) : at(-12, 28, -18),
  };
}

/** Where the cuff closes the wrist. */
export const wrist = at(-112, 0, -30);
