import { expect, test } from "@playwright/test";
import { fixed, localised, short, signed, typed } from "../src/basics/format";
import { length, lengthWithUnit } from "../src/basics/units";
import { fill } from "../src/basics/say";

// 25.4 mm are an inch exactly (the international inch of 1959; NIST Handbook 44, appendix C, as the definitions of Debian's package units tell), so that 580 mm reads 22.835 in and 280 mm reads 11.024 in.
test("lengths are read in inches by dividing millimetres", () => {
  expect(length(580, 2, "inch")).toBe("22.835");
  expect(lengthWithUnit(12.7, 1, "inch")).toBe("0.50 in");
  expect(length(280, 2, "inch")).toBe("11.024");
  expect(length(-580, 2, "inch")).toBe("\u221222.835");
  expect(length(580, 2, "mm")).toBe("580.00");
});

test("nothing reads minus zero", () => {
  expect(fixed(-0.001, 2)).toBe("0.00");
  expect(signed(0.001, 2)).toBe("0.00");
  expect(short(-0.001)).toBe("0");
});

// ISO 80000-1, 7.3 (from memory): digits in threes are parted by a small space; four together need not be.
test("long numbers have their digits in threes", () => {
  expect(fixed(-13500, 0)).toBe("\u221213\u202f500");
  expect(short(1234567.25)).toBe("1\u202f234\u202f567.25");
  expect(fixed(1250.5, 2)).toBe("1250.50");
  expect(localised("-12.5 mm")).toBe("\u221212.5 mm");
});

test("a typed number has a point or a comma, and any minus", () => {
  expect(typed(" 12,5 ")).toBe(12.5);
  expect(typed("\u22120.25")).toBe(-0.25);
  expect(typed("13\u202f500")).toBe(13500);
  expect(typed("1,2,3")).toBeNull();
  expect(typed("abc")).toBeNull();
});

// The plural forms of English and Spanish are those of Unicode's CLDR: 1.0 is other in English, 1,0 is one in Spanish.
test("a count takes the plural form of the language", () => {
  const en = { by: "count", one: "{count} jog", other: "{count} jogs" };
  const es = { by: "count", one: "{count} movimiento", other: "{count} movimientos" };
  expect(fill(en, { count: 1 }, "en", ".")).toBe("1 jog");
  expect(fill(en, { count: 0 }, "en", ".")).toBe("0 jogs");
  expect(fill(en, { count: "1.0" }, "en", ".")).toBe("1.0 jogs");
  expect(fill(es, { count: "1,0" }, "es", ",")).toBe("1,0 movimiento");
  expect(fill(es, { count: "1\u202f000\u202f000" }, "es", ",")).toBe("1\u202f000\u202f000 movimientos");
});
