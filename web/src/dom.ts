// The few things this page does to its elements, each in one place.

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

/** Writes text only where it differs, so that the streaming of numbers costs no layout. */
export function write(element: HTMLElement, text: string): void {
  if (element.textContent !== text) element.textContent = text;
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

/** Fills a select with options, keeping the chosen one where it is still there. */
export function fill(select: HTMLSelectElement, options: { value: string; text: string; title?: string }[]): void {
  const before = select.value;
  select.replaceChildren(
    ...options.map(({ value, text, title }) => {
      const option = new Option(text, value);
      if (title) option.title = title;
      return option;
    }),
  );
  if (options.some((o) => o.value === before)) select.value = before;
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
