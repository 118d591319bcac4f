// Numbers as they are read on the page, with the decimal sign of its language.
import { say } from "./say";

export const MINUS = "\u2212";

/** The sign of a direction. */
export const signMark = (sign: number): string => (sign > 0 ? "+" : MINUS);

let sign: string | null = null;

/** The decimal sign; a point where there is no page. */
const decimalSign = (): string => (sign ??= typeof document === "undefined" ? "." : say("number.decimal"));

/** Digits with a point as the language writes them; five or more before the point go in threes (ISO 80000-1, 7.3; from memory). */
function written(digits: string, decimal = decimalSign()): string {
  const [whole = "", decimals] = digits.split(".");
  const parted = whole.length > 4 ? whole.replace(/\B(?=(\d{3})+$)/g, "\u202f") : whole;
  return decimals === undefined ? parted : parted + decimal + decimals;
}

/** A number with a fixed count of decimals, a true minus sign, and never "−0.00". */
export function fixed(value: number, decimals: number): string {
  const digits = Math.abs(value).toFixed(decimals);
  return value < 0 && Number(digits) !== 0 ? MINUS + written(digits) : written(digits);
}

/** Like fixed, with a plus sign before positive numbers. */
export function signed(value: number, decimals: number): string {
  const text = fixed(value, decimals);
  return value > 0 && Number(value.toFixed(decimals)) !== 0 ? "+" + text : text;
}

/** A number as short as it can be said: 10, 0.5, −170. */
export function short(value: number, most = 2): string {
  const rounded = Number(value.toFixed(most));
  return fixed(rounded, String(rounded).split(".")[1]?.length ?? 0);
}

/** A number with a decimal point or minus from elsewhere, as the language writes it. */
export const localised = (number: string): string => number.replace(/-(?=\d)/, MINUS).replace(/\d+(\.\d+)?/, (digits) => written(digits));

/** A number that somebody typed, with a point or a comma; null where it is none. */
export function typed(text: string): number | null {
  const plain = text.replace(/[\u2212\u2013]/, "-").replace(",", ".").replace(/\s/g, "");
  return /^[+-]?(\d+\.?\d*|\.\d+)$/.test(plain) ? Number(plain) : null;
}

/** Numbers in a row: with a decimal comma more than a comma parts them. */
export const list = (parts: readonly string[]): string => parts.join(say("number.list"));

/** Texts in a row: "a, b and c". */
export const andList = (parts: readonly string[]): string => (parts.length < 2 ? parts.join("") : list(parts.slice(0, -1)) + say("list.and") + parts.at(-1)!);

/** A text whose numbers stay on one line with their units and with the axis that they are along. */
export const unbroken = (text: string): string => text.replace(/(\d) (?=(mm|in|°\/s)(?![a-z]))|(J\d|[XYZ]) (?=[+−\d])/g, "$1$3\u00a0");

/** A day as the page's language writes it. */
export const day = (of = new Date()): string => of.toLocaleDateString(document.documentElement.lang, { dateStyle: "long" });
