import { BufferAttribute, BufferGeometry, Vector3 } from "three";

/** A rod with round or flat ends: what castings are made of. Lengths in mm. */
export interface Rod {
  from: Vector3;
  to: Vector3;
  radius: number;
  flatFrom?: boolean;
  flatTo?: boolean;
  /** How much thinner the rod is in the middle, as a part of its radius. */
  waist?: number;
}

/** Signed distance to a solid: negative inside. */
export type Solid = (x: number, y: number, z: number) => number;

/**
 * One smooth skin around rods that run into each other with a fillet, like a thing cast or thrown in one piece. The
 * skin is a mesh with normals and, as the attribute "shade", how open each point is (1) or tucked in a corner (0).
 */
export function cast(rods: Rod[], fillet: number, cell: number): BufferGeometry {
  const { min, max } = bounds(rods, fillet + 2 * cell);
  return skinOf(solidOf(rods, fillet), min, max, cell, Math.min(...rods.map((r) => r.radius)) * 0.5);
}

/** The skin of any solid within a box. The shade looks as far as reach for what is near a point. */
export function skinOf(solid: Solid, min: Vector3, max: Vector3, cell: number, reach: number): BufferGeometry {
  const net = surfaceNet(solid, min, max, cell);
  const points = new Float32Array(net.points);
  const normals = new Float32Array(points.length);
  const shade = new Float32Array(points.length / 3);
  const n = new Vector3();
  for (let i = 0; i < shade.length; i++) {
    let [x, y, z] = [points[3 * i]!, points[3 * i + 1]!, points[3 * i + 2]!];
    // A step along the gradient takes the net's corners, which lie a little off, onto the surface itself.
    gradient(solid, x, y, z, n);
    const d = solid(x, y, z);
    x -= n.x * d;
    y -= n.y * d;
    z -= n.z * d;
    gradient(solid, x, y, z, n);
    points.set([x, y, z], 3 * i);
    normals.set([n.x, n.y, n.z], 3 * i);
    const open = solid(x + n.x * reach, y + n.y * reach, z + n.z * reach) / reach;
    shade[i] = Math.min(1, Math.max(0, open));
  }
  const geometry = new BufferGeometry();
  geometry.setAttribute("position", new BufferAttribute(points, 3));
  geometry.setAttribute("normal", new BufferAttribute(normals, 3));
  geometry.setAttribute("shade", new BufferAttribute(shade, 1));
  geometry.setIndex(net.triangles);
  return geometry;
}

/** The solid of which a casting is the skin. */
export function solidOf(rods: Rod[], fillet: number): Solid {
  const solids = rods.map(rodSolid);
  return (x, y, z) => {
    let d = solids[0]!(x, y, z);
    for (let i = 1; i < solids.length; i++) d = -smoothMax(-d, -solids[i]!(x, y, z), fillet);
    return d;
  };
}

function rodSolid(rod: Rod): Solid {
  const { from, radius } = rod;
  const along = rod.to.clone().sub(from);
  const length = Math.max(along.length(), 1e-6);
  along.divideScalar(length);
  const waist = rod.waist ?? 0;
  const edge = radius * 0.1;
  return (x, y, z) => {
    const px = x - from.x;
    const py = y - from.y;
    const pz = z - from.z;
    const s = px * along.x + py * along.y + pz * along.z;
    const off = Math.sqrt(Math.max(0, px * px + py * py + pz * pz - s * s));
    const over = s < 0 ? (rod.flatFrom ? 0 : s) : s > length ? (rod.flatTo ? 0 : s - length) : 0;
    const t = Math.min(1, Math.max(0, s / length));
    const r = radius * (1 - waist * 16 * t * t * (1 - t) * (1 - t));
    let d = Math.sqrt(off * off + over * over) - r;
    if (rod.flatFrom) d = smoothMax(d, -s, edge);
    if (rod.flatTo) d = smoothMax(d, s - length, edge);
    return d;
  };
}

/** The larger of two numbers, with the corner between them rounded off over the width k. */
export function smoothMax(a: number, b: number, k: number): number {
  const h = Math.max(k - Math.abs(a - b), 0) / k;
  return Math.max(a, b) + h * h * k * 0.25;
}

/** The way in which the distance grows most, from the corners of a small tetrahedron. */
function gradient(solid: Solid, x: number, y: number, z: number, out: Vector3): void {
  const e = 0.2;
  const a = solid(x + e, y + e, z + e);
  const b = solid(x + e, y - e, z - e);
  const c = solid(x - e, y + e, z - e);
  const d = solid(x - e, y - e, z + e);
  out.set(a + b - c - d, a - b + c - d, a - b - c + d).normalize();
}

function bounds(rods: Rod[], margin: number): { min: Vector3; max: Vector3 } {
  const min = new Vector3(Infinity, Infinity, Infinity);
  const max = min.clone().negate();
  for (const rod of rods) {
    for (const end of [rod.from, rod.to]) {
      min.min(end.clone().subScalar(rod.radius + margin));
      max.max(end.clone().addScalar(rod.radius + margin));
    }
  }
  return { min, max };
}

/**
 * A mesh of the surface of a solid, by naive surface nets: one corner in every cell the surface crosses, at the mean
 * of the crossings on the cell's edges, and one quad for every grid edge it crosses (Gibson 1998).
 */
function surfaceNet(solid: Solid, min: Vector3, max: Vector3, cell: number): { points: number[]; triangles: number[] } {
  const [nx, ny, nz] = [min, min, min].map((_, i) => {
    const side = max.getComponent(i) - min.getComponent(i);
    return Math.ceil(side / cell) + 1;
  }) as [number, number, number];
  const field = new Float32Array(nx * ny * nz);
  const at = (i: number, j: number, k: number): number => i + nx * (j + ny * k);
  // Most of the grid is far from the surface. A block is not looked into whose middle is further off than its corners and
  // the cells at its edges.
  const fill = (i0: number, j0: number, k0: number, block: number): void => {
    const [i1, j1, k1] = [Math.min(nx, i0 + block), Math.min(ny, j0 + block), Math.min(nz, k0 + block)];
    if (i0 >= i1 || j0 >= j1 || k0 >= k1) return;
    const half = (block - 1) / 2;
    const middle = solid(min.x + (i0 + half) * cell, min.y + (j0 + half) * cell, min.z + (k0 + half) * cell);
    const empty = Math.abs(middle) > (half + 1) * cell * Math.sqrt(3);
    if (!empty && block > 2) {
      const part = block / 2;
      for (let c = 0; c < 8; c++) fill(i0 + part * (c & 1), j0 + part * ((c >> 1) & 1), k0 + part * (c >> 2), part);
      return;
    }
    for (let k = k0; k < k1; k++)
      for (let j = j0; j < j1; j++)
        for (let i = i0; i < i1; i++) field[at(i, j, k)] = empty ? middle : solid(min.x + i * cell, min.y + j * cell, min.z + k * cell);
  };
  const whole = 16;
  for (let k = 0; k < nz; k += whole) for (let j = 0; j < ny; j += whole) for (let i = 0; i < nx; i += whole) fill(i, j, k, whole);

  const points: number[] = [];
  const triangles: number[] = [];
  const corner = new Int32Array(nx * ny * nz).fill(-1);
  const cornerSteps = [0, 1, 2, 3, 4, 5, 6, 7].map((c) => at(c & 1, (c >> 1) & 1, (c >> 2) & 1));
  for (let k = 0; k < nz - 1; k++)
    for (let j = 0; j < ny - 1; j++)
      for (let i = 0; i < nx - 1; i++) {
        const here = at(i, j, k);
        if (Math.abs(field[here]!) > 2 * cell) continue; // farther than the cell is wide
        let inside = 0;
        for (let c = 0; c < 8; c++) if (field[here + cornerSteps[c]!]! < 0) inside++;
        if (inside === 0 || inside === 8) continue;
        let crossings = 0;
        const sum = [0, 0, 0];
        for (const [a, b] of cellEdges) {
          const fa = field[at(i + a[0], j + a[1], k + a[2])]!;
          const fb = field[at(i + b[0], j + b[1], k + b[2])]!;
          if (fa < 0 === fb < 0) continue;
          const t = fa / (fa - fb);
          for (let c = 0; c < 3; c++) sum[c]! += a[c]! + t * (b[c]! - a[c]!);
          crossings++;
        }
        corner[here] = points.length / 3;
        points.push(
          min.x + (i + sum[0]! / crossings) * cell,
          min.y + (j + sum[1]! / crossings) * cell,
          min.z + (k + sum[2]! / crossings) * cell,
        );
      }

  // Every crossed grid edge is shared by four cells; their corners make two triangles that face outwards.
  const steps = [at(1, 0, 0), at(0, 1, 0), at(0, 0, 1)] as const;
  for (let k = 1; k < nz - 1; k++)
    for (let j = 1; j < ny - 1; j++)
      for (let i = 1; i < nx - 1; i++) {
        const here = at(i, j, k);
        if (corner[here]! < 0) continue; // the cell has none of them
        for (let axis = 0; axis < 3; axis++) {
          const inside = field[here]! < 0;
          if (inside === field[here + steps[axis]!]! < 0) continue;
          const u = steps[(axis + 1) % 3]!;
          const v = steps[(axis + 2) % 3]!;
          const [a, b, c, d] = [corner[here - u - v]!, corner[here - v]!, corner[here]!, corner[here - u]!];
          if (inside) triangles.push(a, b, c, a, c, d);
          else triangles.push(a, c, b, a, d, c);
        }
      }
  return { points, triangles };
}

const cellEdges = ((): [number[], number[]][] => {
  const edges: [number[], number[]][] = [];
  for (let c = 0; c < 8; c++)
    for (let axis = 0; axis < 3; axis++) {
      if (c & (1 << axis)) continue;
      const corner = (n: number): number[] => [n & 1, (n >> 1) & 1, (n >> 2) & 1];
      edges.push([corner(c), corner(c | (1 << axis))]);
    }
  return edges;
})() as [[number, number, number], [number, number, number]][];
