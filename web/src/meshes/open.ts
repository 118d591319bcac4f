import type { Why } from "./wire";

/** Opens a file by its path in the arm's folder. */
export type Open = (file: string) => Promise<Uint8Array<ArrayBuffer>>;

/** What is said to the reader of why a mesh is not drawn. */
export class Refused extends Error {
  constructor(
    readonly why: Why,
    readonly values: Record<string, string | number> = {},
  ) {
    super(why);
  }
}

/** As the arm files' reader has them. */
export const LARGEST_FILE = 24 << 20;
export const LARGEST_IN_ALL = 96 << 20;
/** What an arm may be drawn with: as many as a page of a class's slowest tablet turns without getting stuck. */
export const MOST_TRIANGLES = 300_000;

/** Opens files that are in hand, or else lie in a folder of the page's own host. */
export function opener(folder: string, files: ReadonlyMap<string, Blob>): Open {
  let left = LARGEST_IN_ALL;
  return async (file) => {
    const inHand = files.get(file);
    if (!inHand && folder === "") throw new Refused("mesh.missing", { file });
    const body = inHand ? inHand.stream() : (await fetched(folder, file)).body;
    const parts: Uint8Array<ArrayBuffer>[] = [];
    let size = 0;
    for (const reader = body!.getReader(); ; ) {
      const { done, value } = await reader.read();
      if (done) break;
      size += value.length;
      left -= value.length;
      if (size > LARGEST_FILE || left < 0) {
        void reader.cancel();
        throw new Refused("mesh.large", { file, mb: size > LARGEST_FILE ? LARGEST_FILE >> 20 : LARGEST_IN_ALL >> 20 });
      }
      parts.push(value as Uint8Array<ArrayBuffer>);
    }
    const whole = new Uint8Array(size);
    let at = 0;
    for (const part of parts) {
      whole.set(part, at);
      at += part.length;
    }
    return whole;
  };
}

async function fetched(folder: string, file: string): Promise<Response> {
  const answer = await fetch(folder + file.split("/").map(encodeURIComponent).join("/"), { redirect: "error" });
  if (!answer.ok) throw new Refused("mesh.missing", { file });
  return answer;
}
