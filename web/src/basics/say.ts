// The page's texts: the server puts the catalogue of the page's language into the page.

/** The keys of the catalogue, checked by the compiler against the English one. */
export type Key = keyof typeof import("../../../words/en.json");

let texts: Record<string, string> | null = null;

/** The text of a key, its {placeholders} filled. */
export function say(key: Key, values: Record<string, string | number> = {}): string {
  texts ??= JSON.parse(document.getElementById("words")?.textContent ?? "{}") as Record<string, string>;
  const text = texts[key] ?? `‹${key}›`;
  return text.replace(/\{(\w+)\}/g, (whole, name: string) => String(values[name] ?? whole));
}
