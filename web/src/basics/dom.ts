// The few things this page does to its elements, each in one place.
import { say } from "./say";

/** The element with the id, which the templates put there. */
export function byId<T extends HTMLElement>(id: string): T {
  const element = document.getElementById(id);
  if (!element) throw new Error(`the page has no #${id}`);
  return element as T;
}

/** The element within another that a selector names. */
export function within<T extends HTMLElement>(root: ParentNode, selector: string): T {
  const element = root.querySelector<T>(selector);
  if (!element) throw new Error(`the page has no ${selector}`);
  return element;
}

/** Writes text only where it differs, and into the text node that is there, so that the streaming of numbers makes nothing anew. */
export function write(element: HTMLElement, text: string): void {
  const only = element.childNodes.length === 1 ? element.firstChild : null;
  if (only instanceof Text && text !== "") {
    if (only.data !== text) only.data = text;
  } else if (element.textContent !== text) element.textContent = text;
}

/** Hides an element or shows it, only where that differs: an attribute that is set again as it was has all rules with :has() looked at anew, for the whole page. */
export function hide(element: HTMLElement, hidden: boolean): void {
  if (element.hidden !== hidden) element.hidden = hidden;
}

/** Switches a control off or on, only where that differs, for the same reason. */
export function disable(control: HTMLInputElement | HTMLSelectElement, off: boolean): void {
  if (control.disabled !== off) control.disabled = off;
}

/** Sets an attribute, only where it differs, for the same reason. */
export function tell(element: HTMLElement, attribute: string, value: string): void {
  if (element.getAttribute(attribute) !== value) element.setAttribute(attribute, value);
}

/** The value of the chosen radio button of a group. */
export function chosen(group: string): string {
  return document.querySelector<HTMLInputElement>(`input[name="${group}"]:checked`)?.value ?? "";
}

/** Chooses a radio button of a group. */
export function choose(group: string, value: string): void {
  const input = document.querySelector<HTMLInputElement>(`input[name="${group}"][value="${value}"]`);
  if (input) input.checked = true;
}

export interface Choice {
  value: string;
  text: string;
  title?: string;
  lang?: string; // of the text, where it is known
}

/** Fills a select with options, unless it has just these, keeping the chosen one where it is still there. Those in another language say so. */
export function fill(select: HTMLSelectElement, options: Choice[]): void {
  const is = (option: HTMLOptionElement, { value, text, title = "", lang = "" }: Choice): boolean =>
    option.value === value && option.textContent === text && option.title === title && option.lang === lang;
  if (select.options.length === options.length && options.every((o, i) => is(select.options[i]!, o))) return;
  const before = select.value;
  select.replaceChildren();
  let group: HTMLOptGroupElement | undefined;
  for (const { value, text, title = "", lang = "" } of options) {
    const option = make("option", { value, text, title, lang });
    if (!lang || lang === document.documentElement.lang) {
      group = undefined;
      select.append(option);
      continue;
    }
    if (!group) select.append((group = make("optgroup", { label: inLanguage(lang) })));
    group.append(option);
  }
  if (options.some((o) => o.value === before)) select.value = before;
}

/** "in English", in the page's language. */
const inLanguage = (code: string) => say("language.in", { language: languageName(code) });

/** What the page's language calls a language. */
export function languageName(code: string): string {
  return new Intl.DisplayNames([document.documentElement.lang], { type: "language" }).of(code) ?? code;
}

/** Makes an element with these properties and content. */
export function make<K extends keyof HTMLElementTagNameMap>(
  tag: K,
  properties: Partial<HTMLElementTagNameMap[K]> = {},
  ...content: (Node | string)[]
): HTMLElementTagNameMap[K] {
  const element = Object.assign(document.createElement(tag), properties);
  element.append(...content);
  return element;
}

/** Hands a text to the browser as a file to be saved. */
export function saveFile(name: string, text: string, type: string): void {
  const href = URL.createObjectURL(new Blob([text], { type }));
  make("a", { href, download: name }).click();
  URL.revokeObjectURL(href);
}

/** Fetches a style sheet that the first load does without. The page does without it, too, where it does not come. */
export function styled(name: "class" | "ownarm" | "uplot"): Promise<unknown> {
  const sheet = make("link", { rel: "stylesheet", href: new URL(`${name}.css`, import.meta.url).href });
  const there = new Promise((done) => {
    sheet.addEventListener("load", done);
    sheet.addEventListener("error", done);
  });
  document.head.append(sheet);
  return there;
}
