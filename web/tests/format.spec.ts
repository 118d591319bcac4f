import { expect, test } from "@playwright/test";
import { fixed, length } from "../src/basics/format";

// Common practice, no source: 25.4 mm per inch, so that 580 mm reads 22.83 in and 280 mm reads 11.02 in.
test("lengths are read in inches by dividing millimetres", () => {
  expect(length(580, "inch")).toBe("22.83");
  expect(length(280, "inch")).toBe("11.02");
  expect(length(-580, "inch")).toBe("\u221222.83");
  expect(length(580, "mm")).toBe("580.00");
});

test("nothing reads minus zero", () => {
  expect(fixed(-0.001, 2)).toBe("0.00");
});
