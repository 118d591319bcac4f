// Numbers as they are read on the page.

export const MM_PER_INCH = 25.4;
export type Unit = "mm" | "inch";

export const MINUS = "\u2212";

/** The sign of a direction. */
export const signMark = (sign: number): string => (sign > 0 ? "+" : MINUS);

/** A number with a fixed count of decimals, a true minus sign, and never "−0.00". */
export function fixed(value: number, decimals: number): string {
  const text = Math.abs(value).toFixed(decimals);
  return value < 0 && Number(text) !== 0 ? MINUS + text : text;
}

/** Like fixed, with a plus sign before positive numbers. */
export function signed(value: number, decimals: number): string {
  const text = fixed(value, decimals);
  return value > 0 && Number(text) !== 0 ? "+" + text : text;
}

/** A number as short as it can be said: 10, 0.5, −170. */
export function short(value: number): string {
  return String(Number(value.toFixed(2))).replace("-", MINUS);
}

/** A text whose numbers stay on one line with their units. */
export const unbroken = (text: string): string => text.replace(/(\d) (?=(mm|°\/s)(?![a-z]))|(J\d) (?=[+−])/g, "$1$3\u00a0");

/** A length in mm, read in the unit. */
export function length(mm: number, unit: Unit): string {
  return fixed(unit === "inch" ? mm / MM_PER_INCH : mm, 2);
}

/** A length as on a drawing with two units: read in the unit, and in brackets in the other one. */
export function dimension(mm: number, unit: Unit): string {
  return `${lengthWithUnit(mm, unit)} [${lengthWithUnit(mm, unit === "mm" ? "inch" : "mm")}]`;
}

/** A length in mm with its unit. */
export function lengthWithUnit(mm: number, unit: Unit): string {
  return `${length(mm, unit)} ${unit === "inch" ? "in" : "mm"}`;
}

