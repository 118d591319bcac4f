// What an instructor asks of the server outside of a class: which there are, and for another.
import type { ClassReply, Listing, OpenRequest } from "./wire";

async function ask(request?: OpenRequest): Promise<ClassReply> {
  const body = request && JSON.stringify({ type: "open", ...request });
  const answer = await fetch(new URL("classes", document.baseURI), body ? { method: "POST", body } : {});
  if (!answer.ok) throw new Error((await answer.text()).trim() || `classes: ${answer.status}`);
  return (await answer.json()) as ClassReply;
}

/** The instructor's classes, the latest first. */
export async function listClasses(): Promise<Listing[]> {
  const reply = await ask();
  return reply.type === "classes" ? reply.classes : [];
}

/** Opens a class, and returns its code. */
export async function openClass(request: OpenRequest): Promise<string> {
  const reply = await ask(request);
  if (reply.type !== "class-opened") throw new Error(`classes: ${reply.type}`);
  return reply.code;
}
