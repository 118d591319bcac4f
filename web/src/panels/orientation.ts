// An orientation in the form the learner has chosen, row by row. The server computes the numbers of every form.
import { fixed } from "../basics/format";
import { say } from "../basics/say";
import type { Form } from "../wire";

interface Row {
  name: string;
  sign: string; // as short as it can be said
  value: string;
}

const degrees = (names: string[], signs: string[], values: number[]): Row[] =>
  values.map((deg, i) => ({ name: names[i]!, sign: signs[i]!, value: `${fixed(deg <= -179.995 ? 180 : deg, 2)}°` })); // −180° is the same angle, and reads as another

const parts = (names: string[], signs: string[], values: number[]): Row[] =>
  values.map((part, i) => ({ name: names[i]!, sign: signs[i]!, value: fixed(part, 4) }));

/** The names of turns of which each is about the frame's own axis, where it is by then. */
const inTurn = (first: string, second: string, third: string): string[] => [
  say("where.about", { letter: first }),
  say("where.then", { letter: second }),
  say("where.then", { letter: third }),
];

const rows: Record<Form, (numbers: number[]) => Row[]> = {
  fixed_xyz: (n) => degrees(["X", "Y", "Z"].map((letter) => say("where.about", { letter })), ["∠X", "∠Y", "∠Z"], n),
  moving_zyx: (n) => degrees(inTurn("Z", "Y", "X"), ["∠Z", "∠Y′", "∠X″"], n),
  zyz: (n) => degrees(inTurn("Z", "Y", "Z"), ["∠Z", "∠Y′", "∠Z″"], n),
  axis_angle: (n) => [...parts(["X", "Y", "Z"].map((letter) => say("where.axis", { letter })), ["x", "y", "z"], n.slice(0, 3)), ...degrees([say("where.angle")], ["∠"], n.slice(3))],
  quaternion: (n) => parts(["w", "x", "y", "z"], ["w", "x", "y", "z"], n),
  matrix: (n) => [0, 3, 6].map((i) => ({ name: "", sign: "", value: n.slice(i, i + 3).map((part) => fixed(part, 3).padStart(6, "\u2007")).join(" ") })),
};

const counts: Record<Form, number> = { fixed_xyz: 3, moving_zyx: 3, zyz: 3, axis_angle: 4, quaternion: 4, matrix: 9 };

/** The rows of an orientation; null for numbers of another form, which were on their way when this one was asked for. */
export function orientationRows(form: Form, numbers: number[]): Row[] | null {
  return numbers.length === counts[form] ? rows[form](numbers) : null;
}

/** The form of that name, or the usual one. */
export function formOf(name: string | null): Form {
  return name !== null && name in rows ? (name as Form) : "fixed_xyz";
}
