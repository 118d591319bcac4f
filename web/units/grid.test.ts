import assert from "node:assert/strict";
import { test } from "node:test";
import { isHeader, parted } from "../src/ownarm/grid";

test("what is copied from a spreadsheet is parted by tabs, and its empty cells stay", () => {
  assert.deepEqual(parted("joint\ta_mm\r\nJ1\t\t3,5\r\n\r\n"), [["joint", "a_mm"], ["J1", "", "3,5"]]);
});

test("text with semicolons or commas is parted by these", () => {
  assert.deepEqual(parted("J1; 0,5 ;2"), [["J1", "0,5", "2"]]);
  assert.deepEqual(parted("J1, 0.5,2"), [["J1", "0.5", "2"]]);
  assert.deepEqual(parted(""), []);
});

test("a row that names columns with their units is a header, and numbers are none", () => {
  for (const row of ["joint\ta_mm\talpha_deg", "Joint\tθ [°]\td [mm]", "J\ta (m)\tspeed_deg_s", "x_mm\ty_mm"]) assert.equal(isHeader(row.split("\t")), true, row);
  for (const row of ["J1\t45\t-90", "joint\ttheta\td", "J1\t45 mm\t3 m", "tcp\t645\t0"]) assert.equal(isHeader(row.split("\t")), false, row);
});
