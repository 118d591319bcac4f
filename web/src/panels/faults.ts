import { byId, write } from "../basics/dom";
import { faultsWhat } from "../basics/words";
import type { Fault, FaultsMessage } from "../wire";

/** What is wrong with the file of what is open. What is open stays usable below. */
export class FaultsPanel {
  private readonly place = byId("faults-place");
  private readonly what = byId("faults-what");
  private readonly list = byId("faults-list");

  setFaults(message: FaultsMessage): void {
    this.place.hidden = message.faults.length === 0;
    write(this.what, this.place.hidden ? "" : faultsWhat(message));
    this.list.replaceChildren(...message.faults.map(entry));
  }
}

function entry(fault: Fault): HTMLLIElement {
  const item = document.createElement("li");
  const place = document.createElement("code");
  place.textContent = fault.line ? `${fault.file}:${fault.line}:${fault.column}` : fault.file;
  const message = document.createElement("p");
  message.textContent = fault.message;
  item.append(place, message);
  if (fault.excerpt) {
    const excerpt = document.createElement("pre");
    excerpt.textContent = fault.excerpt;
    excerpt.tabIndex = 0; // A long line is scrolled.
    item.append(excerpt);
  }
  return item;
}
