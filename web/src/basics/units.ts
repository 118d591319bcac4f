// Lengths, in the unit that the learner reads them in. All numbers of the bench are mm; an inch reading is a mm reading divided.
import { fixed, short } from "./format";
import { recall, remember } from "./remember";
import type { Unit } from "../wire";

export const MM_PER_INCH = 25.4;

let chosen: Unit = recall("unit") === "inch" ? "inch" : "mm";

/** What lengths are read in. */
export const readingUnit = (): Unit => chosen;

/** From now on lengths are read in that unit, on this device. What is shown already has to be said again. */
export function readIn(unit: Unit): void {
  chosen = unit;
  remember("unit", unit);
}

/** The unit as it stands behind a number. */
export const unitSign = (unit = chosen): string => (unit === "inch" ? "in" : "mm");
export const speedSign = (): string => `${unitSign()}/s`;

/** A length in mm as a number of the unit. */
export const inUnit = (mm: number, unit = chosen): number => (unit === "inch" ? mm / MM_PER_INCH : mm);

/** A number of the unit in mm. */
export const toMM = (number: number): number => (chosen === "inch" ? number * MM_PER_INCH : number);

/** An inch has one decimal more than a mm, as on drawings with both units (common practice, no source). */
const digits = (decimals: number, unit: Unit): number => (unit === "inch" ? decimals + 1 : decimals);

/** A length in mm as it is read, without its unit; the decimals are those of mm. */
export const length = (mm: number, decimals = 2, unit = chosen): string => fixed(inUnit(mm, unit), digits(decimals, unit));

/** A length in mm with its unit. */
export const lengthWithUnit = (mm: number, decimals = 2, unit = chosen): string => `${length(mm, decimals, unit)} ${unitSign(unit)}`;

/** A length in mm as short as it can be said, with its unit. */
export const shortLength = (mm: number, most = 2): string => `${short(inUnit(mm), digits(most, chosen))} ${unitSign()}`;

/** A speed in mm/s, likewise. */
export const shortSpeed = (mmPerSecond: number): string => `${shortLength(mmPerSecond, 1)}/s`;

/** The most while people are near the arm (ISO 10218-1), mm/s. */
const REDUCED_MM_S = 250;
export const reducedSpeed = (): string => shortSpeed(REDUCED_MM_S);

/** The lines of the floor's grid, mm: round in the unit that is read. */
export const floorGrid = (): { fine: number; strong: number } => (chosen === "inch" ? { fine: 5 * MM_PER_INCH, strong: 20 * MM_PER_INCH } : { fine: 100, strong: 500 });

/** A length as on a drawing with two units: read in the unit, and in brackets in the other one. */
export const dimension = (mm: number): string => `${lengthWithUnit(mm)} [${lengthWithUnit(mm, 2, chosen === "mm" ? "inch" : "mm")}]`;
