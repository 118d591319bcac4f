import { byId, write } from "../basics/dom";
import { say } from "../basics/say";
import type { PieceMessage, PieceOf, Request, ViewFrom } from "../wire";

/** Pieces of lesson files, made by the bench of where the arm is, and of where one looks from. */
export class PiecesPanel {
  private readonly text = byId<HTMLTextAreaElement>("pieces-text");
  private readonly news = byId("pieces-news");

  constructor(ask: (request: Request) => void, sight: () => ViewFrom) {
    for (const button of byId("pieces").querySelectorAll<HTMLButtonElement>("[data-piece]")) {
      button.addEventListener("click", () => ask({ type: "piece", of: button.dataset["piece"] as PieceOf, ...sight() }));
    }
  }

  setPiece(message: PieceMessage): void {
    this.text.value = message.text;
    this.text.hidden = false;
    this.text.rows = message.text.split("\n").length;
    this.text.select();
    write(this.news, "");
    const byHand = (): void => write(this.news, say("pieces.by-hand"));
    // A page that is not on this machine and not encrypted has no clipboard.
    if (!navigator.clipboard) byHand();
    else navigator.clipboard.writeText(message.text).then(() => write(this.news, say("pieces.copied")), byHand);
  }
}
