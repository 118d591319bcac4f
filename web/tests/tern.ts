// An arm of invented measures as a URDF file with the meshes that it names, for the specs that bring it to the page.
import type { Page } from "@playwright/test";
import { open } from "./bench";

export const names = ["base", "l1", "l2", "l3", "l4", "l5", "l6"];
/** Of each link in m: how wide it is, from where to where, and whether it lies along X. */
export const shapes: [number, number, number, boolean][] = [[0.09, 0, 0.2, false], [0.07, 0, 0.2, false], [0.055, 0, 0.25, false], [0.05, -0.05, 0.05, false], [0.045, 0, 0.3, true], [0.04, 0, 0.05, true], [0.035, 0.05, 0.1, true]];

/** An arm of invented measures; every link is drawn as a mesh. */
export const urdf = `<robot name="tern">
${names.map((name) => `<link name="${name}"><visual><geometry><mesh filename="package://tern/meshes/${name}.stl"/></geometry><material name="m"><color rgba="0.8 0.72 0.55 1"/></material></visual></link>`).join("\n")}
${["0 0 1", "0 1 0", "0 1 0", "1 0 0", "0 1 0", "1 0 0"]
  .map((axis, i) => `<joint name="J${i + 1}" type="revolute"><origin xyz="${["0 0 0.2", "0 0 0.2", "0 0 0.25", "0 0 0", "0.3 0 0", "0 0 0"][i]}"/><parent link="${names[i]}"/><child link="${names[i + 1]}"/><axis xyz="${axis}"/><limit lower="-2" upper="2" velocity="2" effort="0"/></joint>`)
  .join("\n")}
<link name="flange"/><joint name="f" type="fixed"><origin xyz="0.1 0 0" rpy="0 1.5707963267948966 0"/><parent link="l6"/><child link="flange"/></joint>
</robot>`;

/** A prism of eight sides as an STL file in text. */
export function prism([wide, from, to, alongX]: (typeof shapes)[number]): string {
  const point = (i: number, at: number): string => {
    const [a, b] = [wide * Math.cos((i * Math.PI) / 4), wide * Math.sin((i * Math.PI) / 4)];
    return `vertex ${(alongX ? [at, a, b] : [a, b, at]).map((x) => x.toFixed(6)).join(" ")}`;
  };
  const facets: string[][] = [];
  for (let i = 0; i < 8; i++) {
    facets.push([point(i, from), point(i + 1, from), point(i + 1, to)], [point(i, from), point(i + 1, to), point(i, to)]);
    if (i > 0 && i < 7) facets.push([point(0, to), point(i, to), point(i + 1, to)], [point(0, from), point(i + 1, from), point(i, from)]);
  }
  return `solid s\n${facets.map((f) => `facet normal 0 0 0\nouter loop\n${f.join("\n")}\nendloop\nendfacet\n`).join("")}endsolid\n`;
}

/** Opens the page of the own arm where a URDF file is chosen. */
export async function choosing(page: Page, path?: string): Promise<void> {
  await open(page, path);
  await page.evaluate(() => (location.hash = "#/own-arm"));
  await page.locator('label:has(input[name="own-arm-kind"][value="urdf"])').click();
}

export const files = names.map((name, i) => ({ name: `${name}.stl`, mimeType: "model/stl", buffer: Buffer.from(prism(shapes[i]!)) }));
export const arm = { name: "tern.urdf", mimeType: "text/xml", buffer: Buffer.from(urdf) };
