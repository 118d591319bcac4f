// Words of the trade explain themselves wherever they stand in a text: on a press, a tap, or from the keyboard.
import { byId, make } from "../basics/dom";
import { partOf, wanted } from "../basics/say";
import { Terms, type Term } from "../basics/terms";
import { onPhone } from "./places";

/** Headings, and the names of fields and numbers: however short they are. */
const HEADING = "h1, h2, h3, summary, legend, label, caption, th, dt, .reading-frame";
const NAME = `${HEADING}, [data-terms]`;
/** What counts as one text: in each a term is marked where it first stands. */
const TEXT = `p, li, dd, td, .help, ${NAME}`;
/** Others of fewer words are numbers with their signs. */
const LEAST_WORDS = 4;
const LEAST_LETTERS = 12;
const WORD = /\p{L}{3}/u; // no number that streams, nor its sign
/** Where a word is part of something to press, which explains itself as a whole, or no word at all, or another one, as a link to a page. */
const NOT_WITHIN = "button, a, select, input, textarea, kbd, code, script, style, svg, .term, [role=button], [contenteditable], [data-unmarked], label:has([type=radio], [type=checkbox])";
const EDGE_PX = 8;
/** What is said anew with every jog: too brief for a key to be told there. */
const PASSING = "#next, #guide, #stops, .share-box, .help";

export class Glossary {
  private readonly meanings = wanted(() => partOf<Term>("glossary"));
  /** By the language of the text they are looked for in; null while those of another than the page's are on their way. */
  private readonly terms = new Map<string, Terms | null>([[document.documentElement.lang, new Terms(JSON.parse(byId("glossary").textContent!) as Record<string, string[]>)]]);
  private readonly words = byId("term");
  private of: HTMLElement | null = null;
  private last: HTMLElement | null = null; // that the key led to
  private keyed: HTMLElement | null = null; // the word at which the key is told
  private keyKnown = false;
  private looking = 0;

  /** others puts away other words that explain something: one explanation at a time is in sight. */
  constructor(private readonly others: () => void) {
    const observer = new MutationObserver((changes) => {
      const texts = new Set<HTMLElement>();
      for (const { target } of changes) {
        if (!worthReading(target)) continue;
        for (const text of textsOf(target)) texts.add(text);
      }
      for (const text of texts) this.mark(text);
      observer.takeRecords(); // of the marks themselves
      if (texts.size > 0) this.showKey();
    });
    observer.observe(document.body, { subtree: true, childList: true, characterData: true });
    for (const text of document.body.querySelectorAll<HTMLElement>(TEXT)) this.mark(text);
    observer.takeRecords();

    document.addEventListener("click", (event) => {
      const term = (event.target as Element).closest<HTMLElement>(".term");
      if (!term) return;
      event.preventDefault(); // which would fold the panel, or open the list, whose name it is in
      void this.explain(term);
    });
    document.addEventListener("pointerdown", (event) => {
      const target = event.target as Element;
      if (!this.words.contains(target) && !target.closest(".term")) this.hide();
    });
    document.addEventListener("keydown", (event) => event.key === "Escape" && this.hide(), { capture: true });
    document.addEventListener("focusin", (event) => event.target !== this.of && !this.words.contains(event.target as Node) && this.hide());
  }

  /** A word is explained. */
  get shown(): boolean {
    return this.of !== null;
  }

  /** Who uses keys is told of the one for such words, at the first of them in sight beside whose line it covers nothing, until it has been used. */
  showKey(): void {
    if (this.looking || this.keyKnown || !("keys" in document.documentElement.dataset) || this.keyed?.isConnected) return;
    this.looking = requestAnimationFrame(() => {
      this.looking = 0;
      this.keyed = [...document.querySelectorAll<HTMLElement>(".term")].find((term) => !term.closest(`${PASSING}, ${HEADING}`) && inSight(term) && hasMargin(term)) ?? null;
      this.keyed?.classList.add("keyed");
    });
  }

  /** Explains the next term in sight, or the one before; the first where none has the focus. */
  next(by: 1 | -1): void {
    this.keyKnown = true;
    this.keyed?.classList.remove("keyed");
    const { of, keyed } = this;
    this.hide(); // which may cover some
    const all = [...document.querySelectorAll<HTMLElement>(".term")].filter((term) => !this.words.contains(term) && (term === of || inSight(term)));
    const focus = document.activeElement as HTMLElement;
    const here = all.indexOf(of ?? (this.last && holder(this.last) === focus ? this.last : focus));
    // Whoever reads a text begins with its own first word.
    const read = all.findIndex((term) => focus !== document.body && focus.contains(term));
    const first = Math.max(0, read >= 0 ? read : keyed ? all.indexOf(keyed) : 0);
    const next = all[here < 0 ? (by > 0 ? first : all.length - 1) : (here + by + all.length) % all.length];
    if (!next) return;
    holder(next).focus();
    void this.explain(next);
    this.last = next;
  }

  /** Marks the terms of a text that is not marked yet. */
  private mark(text: HTMLElement): void {
    const language = text.closest<HTMLElement>("[lang]")?.lang ?? "";
    const terms = this.terms.get(language);
    if (terms === undefined && language !== "") void this.alsoIn(language);
    if (!terms || text.closest(NOT_WITHIN) || (!text.matches(NAME) && (text.textContent ?? "").split(/\s+/, LEAST_WORDS).length < LEAST_WORDS)) return;
    const before = new Set([...text.querySelectorAll<HTMLElement>(".term")].map((term) => term.dataset["term"]!));
    const walker = document.createTreeWalker(text, NodeFilter.SHOW_TEXT, (node) =>
      node.parentElement!.closest(TEXT) === text && !node.parentElement!.closest(NOT_WITHIN) ? NodeFilter.FILTER_ACCEPT : NodeFilter.FILTER_REJECT,
    );
    const nodes: Text[] = [];
    while (walker.nextNode()) nodes.push(walker.currentNode as Text);
    for (const node of nodes) {
      const found = terms.find(node.data, before);
      if (found.length > 0) keepTogether(node);
      // From the end, so that what comes before stays where it is.
      for (const { name, at, length } of found.reverse()) {
        const word = node.splitText(at);
        word.splitText(length);
        // No button: those are disabled with their task, and are places where the Tab key stops. In a panel's title, which is pressed itself, not even the role of one.
        const term = make("span", { className: "term", ...(text.closest("summary") ? {} : { tabIndex: -1, role: "button" }) }, word.data);
        term.dataset["term"] = name;
        word.replaceWith(term);
      }
    }
  }

  /** A lesson may be in another language than the page: its terms are marked as soon as it is known in which forms they stand there. */
  private async alsoIn(language: string): Promise<void> {
    this.terms.set(language, null);
    const glossary = await partOf<Term>("glossary", language).catch(() => null);
    if (!glossary) return; // There is none.
    this.terms.set(language, new Terms(Object.fromEntries(Object.entries(glossary).map(([name, term]) => [name, term.in ?? term.words]))));
    for (const text of document.body.querySelectorAll<HTMLElement>(TEXT)) if (text.closest<HTMLElement>("[lang]")?.lang === language) this.mark(text);
  }

  private async explain(of: HTMLElement): Promise<void> {
    const again = this.of === of;
    const box = of.getBoundingClientRect(); // before what it may stand in is put away
    const bottom = of.closest("#readout")?.getBoundingClientRect().bottom ?? box.bottom; // the numbers that it is about stay in sight
    this.hide();
    if (again) return;
    this.others();
    this.of = of;
    if (holder(of) === of) of.setAttribute("aria-expanded", "true");
    holder(of).setAttribute("aria-describedby", this.words.id);
    const term = (await this.meanings())?.[of.dataset["term"]!];
    if (this.of !== of) return;
    if (!term) return this.hide();
    this.words.replaceChildren(make("strong", {}, term.words[0]!), ` ${term.means} `, make("span", { className: "term-from" }, term.from));
    this.words.showPopover();
    const { offsetWidth: width, offsetHeight: height } = this.words;
    this.words.style.left = `${Math.max(EDGE_PX, Math.min(box.left, window.innerWidth - width - EDGE_PX))}px`;
    // On a phone what stands below is read or pressed next, and above is the picture.
    const below = bottom + height + 2 * EDGE_PX <= window.innerHeight && !(onPhone() && box.top - height > EDGE_PX);
    this.words.style.top = `${below ? bottom + EDGE_PX / 2 : Math.max(EDGE_PX, box.top - height - EDGE_PX / 2)}px`;
  }

  private hide(): void {
    if (!this.of) return;
    this.of.removeAttribute("aria-expanded");
    holder(this.of).removeAttribute("aria-describedby");
    this.of = null;
    if (this.words.matches(":popover-open")) this.words.hidePopover();
  }
}

/** Whether a change may have brought a word: a long text, or a name of any length. */
function worthReading(changed: Node): boolean {
  const text = changed.textContent!;
  if (text.length >= LEAST_LETTERS) return true;
  return WORD.test(text) && !!(changed instanceof Element ? changed : changed.parentElement)?.closest(NAME);
}

/** What has the focus while a term is explained. */
function holder(term: HTMLElement): HTMLElement {
  return term.closest("summary") ?? term;
}

/** In a row of boxes a text is one box also when words of it are marked. */
function keepTogether(text: Text): void {
  const { parentElement } = text;
  if (!/flex|grid/.test(getComputedStyle(parentElement!).display)) return;
  const whole = document.createElement("span");
  text.replaceWith(whole);
  whole.append(text);
}

/** The texts that a change in a node is a change of. */
function textsOf(node: Node): HTMLElement[] {
  const element = node instanceof HTMLElement ? node : node.parentElement;
  if (!element) return [];
  const around = element.closest<HTMLElement>(TEXT);
  return [...(around ? [around] : []), ...element.querySelectorAll<HTMLElement>(TEXT)];
}

/** What the key stands beside, in its margin. */
const MARGINED = ".lesson-text, p, dd";
const KEY_PX = 11;

/** Whether the key has room in the margin of the word's line: nothing stands there, and nothing cuts it off. */
function hasMargin(term: HTMLElement): boolean {
  const text = term.closest<HTMLElement>(".lesson-text") ?? term.closest<HTMLElement>(TEXT)!;
  if (!text.matches(MARGINED) || getComputedStyle(text).display !== "block") return false;
  const left = text.getBoundingClientRect().left - KEY_PX;
  for (let around = text.parentElement; around; around = around.parentElement) {
    if (getComputedStyle(around).overflowX !== "visible" && around.getBoundingClientRect().left > left) return false;
    if (around.matches(".panel, dialog")) break;
  }
  const { top, bottom } = term.getClientRects()[0]!;
  return [1, KEY_PX - 1].every((off) => !!document.elementFromPoint(left + off, (top + bottom) / 2)?.contains(text));
}

function inSight(element: HTMLElement): boolean {
  if (!element.checkVisibility({ visibilityProperty: true, opacityProperty: true })) return false;
  // One of several words may be in two lines, whose middle is in neither.
  const [{ left, top, right, bottom } = element.getBoundingClientRect()] = element.getClientRects();
  return element.contains(document.elementFromPoint((left + right) / 2, (top + bottom) / 2));
}
