// The choices of a question by keys.

/** A radio button or a box to tick, in a lesson's question or a class's. */
const CHOICE = ".ask-choice > input";

/** Enter chooses what has the focus, or ticks it, and hands nothing in: a box more may be wanted. Up and down lead from row to row. */
export function watchChoices(): void {
  document.addEventListener("keydown", (event) => {
    const here = event.target as HTMLInputElement;
    if (!here.matches(CHOICE) || event.altKey || event.ctrlKey || event.metaKey) return;
    if (event.key === "Enter") {
      event.preventDefault();
      if (!event.repeat) here.click();
    } else if (here.type === "radio" && (event.key === "ArrowDown" || event.key === "ArrowUp")) {
      const to = inNextRow(here, event.key === "ArrowDown" ? 1 : -1);
      if (!to) return;
      event.preventDefault();
      if (to === here) return;
      to.focus();
      to.click();
    }
  });
}

/** The choice below or above in the row that is next, itself where there is none; null where the choices stand in one row or one column, in which they follow each other. */
function inNextRow(here: HTMLInputElement, by: 1 | -1): HTMLInputElement | null {
  const places = [...here.closest("fieldset")!.querySelectorAll<HTMLInputElement>(`${CHOICE}[name="${here.name}"]`)].filter((choice) => choice.checkVisibility()).map((choice) => ({ choice, box: choice.parentElement!.getBoundingClientRect() }));
  const tops = [...new Set(places.map(({ box }) => Math.round(box.top)))].sort((a, b) => a - b);
  if (tops.length < 2 || tops.length === places.length) return null;
  const { left, right, top } = here.parentElement!.getBoundingClientRect();
  const row = places.filter(({ box }) => Math.round(box.top) === tops[tops.indexOf(Math.round(top)) + by]);
  const off = (box: DOMRect): number => Math.abs(box.left + box.right - left - right);
  return row.sort((a, b) => off(a.box) - off(b.box))[0]?.choice ?? here;
}
