// The bench's program is eight times as large as it is packed. Most hosts pack what they send; from one that does not, the packed file
// is fetched and unpacked here. The worker does this, and the service worker, which puts it away unpacked.

/** Marks an answer that holds the program whole, though its host packs nothing. */
const UNPACKED = "x-unpacked";

/** Fetches the program beside this script. */
export async function fetchProgram(at: URL): Promise<Response> {
  const plain = await fetched(at);
  if (plain.headers.get("content-encoding") || plain.headers.has(UNPACKED) || !("DecompressionStream" in self)) return plain;
  const packed = await fetch(new URL(`${at.href}.gz`));
  if (!packed.ok || !packed.body) return plain;
  void plain.body?.cancel();
  const [head, whole] = packed.body.tee();
  const unpacked = (await startsPacked(head)) ? whole.pipeThrough(new DecompressionStream("gzip")) : whole;
  return new Response(unpacked, { headers: { "content-type": "application/wasm", [UNPACKED]: "1" } });
}

async function fetched(at: URL): Promise<Response> {
  const answer = await fetch(at);
  if (!answer.ok) throw new Error(`${at.pathname}: ${answer.status} ${answer.statusText}`);
  return answer;
}

/** Some hosts unpack such files on the way. */
async function startsPacked(stream: ReadableStream<Uint8Array>): Promise<boolean> {
  const reader = stream.getReader();
  const { value } = await reader.read();
  void reader.cancel();
  return value?.[0] === 0x1f && value[1] === 0x8b;
}

/** The answer with its body counted as it comes, in bytes; it may be compiled as it comes too. */
export function counted(answer: Response, came: (bytes: number) => void): Response {
  if (!answer.body) return answer;
  let bytes = 0;
  const count = new TransformStream<Uint8Array, Uint8Array>({
    transform(chunk, to) {
      bytes += chunk.length;
      came(bytes);
      to.enqueue(chunk);
    },
  });
  return new Response(answer.body.pipeThrough(count), { headers: { "content-type": "application/wasm" } });
}
