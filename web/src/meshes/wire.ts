// What the page and the worker that reads files of meshes say to each other.

/** Meshes to be read, and where their files are. */
export interface Job {
  meshes: { file: string; by: string; place: number[]; colour: number }[]; // by what carries it; a matrix of 16 numbers, column by column; sRGB
  folder: string; // an address; "" where all files are in hand
  files: ReadonlyMap<string, Blob>;
}

/** What a carrier is drawn as, in mm. */
export interface Surface {
  by: string;
  position: Float32Array;
  normal: Float32Array;
  color: Float32Array;
  index: Uint32Array;
}

/** Why a mesh is not drawn. */
export interface Failure {
  file: string;
  by: string;
  why: Why;
  values: Record<string, string | number>;
}

export type Why = "mesh.missing" | "mesh.large" | "mesh.many" | "mesh.address" | "mesh.packed" | "mesh.unread" | "mesh.late";

export interface Done {
  surfaces: Surface[];
  failures: Failure[];
}
