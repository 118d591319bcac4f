import { byId, write } from "../basics/dom";
import { say } from "../basics/say";

/** The page's address without what is the author's alone. */
function sharedHref(): string {
  const url = new URL(location.href);
  url.searchParams.delete("author");
  url.hash = "";
  return url.href;
}

/** Gives the address of what is on the screen: copied where the browser lets it be, and always to be read. */
export class Share {
  private readonly box = byId("share-box");
  private readonly link = byId<HTMLInputElement>("share-link");
  private readonly note = byId("share-note");

  constructor(private readonly address: () => string) {
    this.box.addEventListener("toggle", (event) => {
      if ((event as ToggleEvent).newState === "open") void this.give();
    });
    this.link.addEventListener("focus", () => this.link.select());
  }

  private async give(): Promise<void> {
    this.link.value = sharedHref() + this.address();
    this.link.focus();
    this.link.select();
    write(this.note, say("share.copy-by-hand"));
    try {
      await navigator.clipboard.writeText(this.link.value);
      write(this.note, say("share.copied"));
    } catch {
      // No clipboard here, or it may not be used: the text is there to be copied.
    }
  }
}
