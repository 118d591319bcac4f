import { byId, write } from "../basics/dom";
import { say, sayAlso, wanted } from "../basics/say";
import { parseAddress, RESULT } from "./address";

/** The page's address without what is the author's alone. */
export function sharedURL(): URL {
  const url = new URL(location.href);
  url.searchParams.delete("author");
  url.hash = "";
  return url;
}

/** What an address opens, and what of one's own it does not bring, in a sentence; "" where that is plain. */
function opensWhat(hash: string): string {
  const address = parseAddress(hash);
  switch (address.of) {
    case "lesson":
      if (address.stage === RESULT) return say("share.opens.result");
      return say("share.opens.lesson", { stage: (address.stage ?? 0) + 1 });
    case "arm":
      return say(address.jogs ? "share.opens.jogs" : "share.opens.arm");
    case "lessons":
      return say("share.opens.lessons");
    case "own-arm":
    case "real-arm":
      return say("share.opens.page");
    case "class":
    case "board":
      return say("share.opens.class");
    default:
      return "";
  }
}

/** How large a frame is suggested, px. */
const SIZE = { width: 960, height: 600 };

/** What to put into a page of one's own, so that it shows what this address names. */
function frameOf(hash: string): string {
  const url = sharedURL();
  url.searchParams.set("embed", "1");
  url.searchParams.set("lang", document.documentElement.lang);
  const src = (url.href + hash).replaceAll("&", "&amp;").replaceAll('"', "&quot;");
  return `<iframe src="${src}" width="${SIZE.width}" height="${SIZE.height}" loading="lazy" title="${say("page.title").replaceAll('"', "&quot;")}" style="border: 0; max-width: 100%"></iframe>`;
}

/**
 * Gives the address of what is on the screen, or of that with the jogs that led there: copied where the browser lets it be, and always
 * to be read. Below it is what shows the same in a frame of another page.
 */
export class Share {
  private readonly box = byId("share-box");
  private readonly link = byId<HTMLInputElement>("share-link");
  private readonly frame = byId<HTMLTextAreaElement>("share-frame");
  private readonly note = byId("share-note");
  private readonly opens = byId("share-opens");
  private given = ""; // an address that was given to be shared; "" for that of what is on the screen

  /** Beside the address of what is on the screen: what of it that address does not bring, in a sentence; "" for nothing. */
  constructor(
    private readonly address: () => string,
    private readonly stays: () => string,
  ) {
    this.box.addEventListener("toggle", (event) => {
      if ((event as ToggleEvent).newState === "open") void this.give();
      else this.given = "";
    });
    window.addEventListener("popstate", () => this.box.hidePopover()); // a link was followed, if only to where one is
    for (const field of [this.link, this.frame]) field.addEventListener("focus", () => field.select());
  }

  /** Shares another address than that of what is on the screen. */
  share(address: string): void {
    this.given = address;
    this.box.showPopover();
  }

  private readonly texts = wanted(() => sayAlso("share"));

  /** Says what the address opens. */
  private async tell(address: string, ours: boolean): Promise<void> {
    if ((await this.texts()) !== null) write(this.opens, `${opensWhat(address)} ${ours ? this.stays() : ""}`.trim());
  }

  private async give(): Promise<void> {
    const address = this.given || this.address();
    this.link.value = sharedURL().href + address;
    this.frame.value = frameOf(address);
    void this.tell(address, this.given === "");
    this.link.focus();
    this.link.select();
    const note = (copied: boolean): void => {
      this.note.classList.toggle("copied", copied);
      write(this.note, say(copied ? "share.copied" : "share.copy-by-hand"));
    };
    note(false);
    try {
      await navigator.clipboard.writeText(this.link.value);
      note(true);
    } catch {
      // No clipboard here, or it may not be used: the text is there to be copied.
    }
  }
}
