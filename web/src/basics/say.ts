// The page's texts: the server puts the catalogue of the page's language into the page.

/** The keys of the catalogue, checked by the compiler against the English one. */
export type Key = keyof typeof import("../../../words/en.json");

/** An entry of the catalogue: one text, or one for each plural form, chosen by the number of the placeholder `by`. */
type Entry = string | ({ by: string; other: string } & Partial<Record<Intl.LDMLPluralRule, string>>);

let texts: Record<string, Entry> | null = null;

/** Takes up more of the catalogue. */
export function alsoSay(more: Record<string, unknown>): void {
  texts = { ...(texts ?? inPage()), ...(more as Record<string, Entry>) };
}

/** Fetches the texts of a part of the page that the first load does without; see web/build.mjs. */
export async function sayAlso(part: "class" | "arms" | "help" | "plot" | "platform" | "controller" | "player" | "share" | "rules"): Promise<void> {
  alsoSay(await partOf(part));
}

/** What the build has written for a part of the page, in the page's language or another. */
export async function partOf<T = unknown>(part: string, language = document.documentElement.lang): Promise<Record<string, T>> {
  const answer = await fetch(new URL(`${part}-${language}.json`, import.meta.url));
  if (!answer.ok) throw new Error(`the texts of ${part} do not come: ${answer.status}`);
  return (await answer.json()) as Record<string, T>;
}

/** Asks when it is first wanted, and once; where that fails, what is wanted is null, and it is asked again with the next wish. */
export function wanted<T>(ask: () => Promise<T>): () => Promise<T | null> {
  let asked: Promise<T | null> | null = null;
  return () =>
    (asked ??= ask().catch(() => {
      asked = null;
      return null;
    }));
}

const inPage = (): Record<string, Entry> => JSON.parse(document.getElementById("words")?.textContent ?? "{}") as Record<string, Entry>;

/** The text of a key, its {placeholders} filled. */
export function say(key: Key, values: Record<string, string | number> = {}): string {
  texts ??= inPage();
  return fill(texts[key] ?? `‹${key}›`, values, document.documentElement.lang, texts["number.decimal"] as string);
}

/** An entry with its {placeholders} filled, in the form that suits its number as the language writes it. */
export function fill(entry: Entry, values: Record<string, string | number>, language: string, decimal: string): string {
  const text = typeof entry === "string" ? entry : (entry[pluralForm(String(values[entry.by]), language, decimal)] ?? entry.other);
  return text.replace(/\{([\w-]+)\}/g, (whole, name: string) => String(values[name] ?? whole));
}

function pluralForm(number: string, language: string, decimal: string): Intl.LDMLPluralRule {
  const [whole = "", decimals = ""] = number.replace(/[^\d.,]/g, "").split(decimal);
  return new Intl.PluralRules(language, { minimumFractionDigits: decimals.length }).select(Number(`${whole}.${decimals || 0}`));
}
