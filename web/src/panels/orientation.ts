// An orientation in the form the learner has chosen, row by row. The server computes the numbers of every form.
import { fixed } from "../basics/format";
import { say } from "../basics/say";
import type { OrientationNotes, Reading } from "../wire";

export type Form = keyof OrientationNotes | "matrix";

interface Row {
  name: string;
  value: string;
}

const degrees = (names: string[], values: number[]): Row[] =>
  values.map((deg, i) => ({ name: names[i]!, value: `${fixed(deg, 2)}°` }));

const parts = (names: string[], values: number[]): Row[] =>
  values.map((part, i) => ({ name: names[i]!, value: fixed(part, 4) }));

/** The names of turns of which each is about the frame's own axis, where it is by then. */
const inTurn = (first: string, second: string, third: string): string[] => [
  say("where.about", { letter: first }),
  say("where.then", { letter: second }),
  say("where.then", { letter: third }),
];

const rows: Record<Form, (r: Reading) => Row[]> = {
  fixed_xyz: (r) => degrees(["X", "Y", "Z"].map((letter) => say("where.about", { letter })), r.fixed_xyz_deg),
  moving_zyx: (r) => degrees(inTurn("Z", "Y", "X"), r.moving_zyx_deg),
  zyz: (r) => degrees(inTurn("Z", "Y", "Z"), r.zyz_deg),
  axis_angle: (r) => [
    ...parts(["X", "Y", "Z"].map((letter) => say("where.axis", { letter })), r.axis_angle.axis),
    ...degrees([say("where.angle")], [r.axis_angle.angle_deg]),
  ],
  quaternion: (r) => parts(["w", "x", "y", "z"], r.quaternion_wxyz),
  matrix: (r) => r.rotation.map((row) => ({ name: "", value: row.map((part) => fixed(part, 3).padStart(6, "\u2007")).join(" ") })),
};

export function orientationRows(form: Form, reading: Reading): Row[] {
  return rows[form](reading);
}

/** What to know about the numbers where they are not unique, or have leapt; "" where there is nothing. */
export function orientationNote(form: Form, reading: Reading): string {
  return form === "matrix" ? "" : reading.notes[form];
}

/** The form of that name, or the usual one. */
export function formOf(name: string | null): Form {
  return name !== null && name in rows ? (name as Form) : "fixed_xyz";
}
