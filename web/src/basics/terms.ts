// Finds words of the glossary in texts. No page is needed for it.

export interface Term {
  words: string[]; // the first is its name
  in?: string[]; // the forms in which it stands in texts, where these are not the same
  means: string;
  from: string; // the standard or the book
}

/** A place in a text where a term stands. */
export interface Found {
  name: string;
  at: number;
  length: number;
}

const literal = (text: string): string => text.replace(/[.*+?^${}()|[\]\\]/g, "\\$&");

/** Finds terms in texts, by the forms in which they stand there: each once, the longest form where several begin. */
export class Terms {
  private readonly names = new Map<string, string>();
  private readonly any: RegExp;

  constructor(forms: Record<string, string[]>) {
    for (const [name, all] of Object.entries(forms)) for (const form of all) this.names.set(form.toLowerCase(), name);
    const longestFirst = [...this.names.keys()].sort((a, b) => b.length - a.length).map(literal);
    this.any = new RegExp(`(?<![\\p{L}\\p{N}-])(?:${longestFirst.join("|")})(?![\\p{L}\\p{N}-])`, "giu");
  }

  /** The terms in a text in their order, but for those that were found before; these are added to them. */
  find(text: string, before: Set<string>): Found[] {
    const found: Found[] = [];
    for (const match of text.matchAll(this.any)) {
      const name = this.names.get(match[0].toLowerCase());
      if (!name || before.has(name)) continue;
      before.add(name);
      found.push({ name, at: match.index, length: match[0].length });
    }
    return found;
  }
}
