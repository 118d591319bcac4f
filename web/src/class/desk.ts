import { byId, make, write } from "../basics/dom";
import { say } from "../basics/say";
import { hereSays } from "./bar";
import { qrOf } from "./qr";
import type { Room } from "./room";
import { halves } from "./seat";
import type { Listing } from "./wire";

/** Where an instructor opens a class, shows the way in, and does what concerns all of it. */
export class Desk {
  private readonly open = byId<HTMLFormElement>("class-open");
  private readonly opened = byId("class-opened");
  private readonly eyes = byId("class-eyes");
  private readonly front = byId("class-in-front");
  private readonly lock = byId("class-lock");
  private readonly hide = byId("class-hide");
  private readonly clock = byId<HTMLFormElement>("class-clock");
  private readonly clockEnd = byId("class-clock-end");
  private readonly door = byId<HTMLDialogElement>("class-door");
  private readonly list = byId("class-list");
  private readonly sure = byId("class-sure");
  private listed = "";
  private drawn = ""; // the address whose QR code is shown

  constructor(private readonly room: Room) {
    this.open.addEventListener("submit", (event) => {
      event.preventDefault();
      const ticked = (id: string): boolean => byId<HTMLInputElement>(id).checked;
      void room.open(byId<HTMLInputElement>("class-open-title").value.trim(), [...(ticked("class-open-number") ? ["number"] : []), ...(ticked("class-open-email") ? ["e-mail"] : [])]);
    });
    this.eyes.addEventListener("click", () => room.send({ type: "eyes", on: !room.now.room?.eyes }));
    byId("class-send").addEventListener("click", () => {
      const address = room.seams.addressHere();
      if (address) room.send({ type: "send", address, learner: "" });
    });
    this.front.addEventListener("click", () => room.takeFront());
    this.lock.addEventListener("click", () => room.send({ type: "rules", locked: !room.now.room?.locked }));
    this.hide.addEventListener("click", () => room.send({ type: "rules", names_hidden: !room.now.room?.names_hidden }));
    this.clock.addEventListener("submit", (event) => {
      event.preventDefault();
      const minutes = byId<HTMLInputElement>("class-minutes").valueAsNumber;
      if (this.clock.reportValidity()) room.send({ type: "countdown", seconds: Math.round(minutes * 60) });
    });
    this.clockEnd.addEventListener("click", () => room.send({ type: "countdown", seconds: 0 }));
    byId("class-door-open").addEventListener("click", () => {
      this.door.showModal();
      byId("class-door-title").focus();
    });
    byId("class-close").addEventListener("click", () => this.ask(say("class.close.sure"), say("class.close"), () => room.send({ type: "close" })));
  }

  set(): void {
    const { room: cls, welcome } = this.room.now;
    const open = cls !== null && !cls.ended;
    const focused = [this.open, this.opened].some((part) => part.contains(document.activeElement));
    const turned = this.open.hidden !== open;
    this.open.hidden = open;
    this.opened.hidden = !open;
    if (focused && turned) byId(open ? "class-door-open" : "class-open-title").focus();
    this.setList(this.room.classes);
    if (!open) {
      if (this.door.open) this.door.close();
      return;
    }
    const address = welcome?.address ?? "";
    write(byId("class-code-shown"), halves(cls.code));
    write(byId("class-address"), address);
    byId("class-plain-http").hidden = welcome?.secure ?? true;
    this.eyes.setAttribute("aria-pressed", String(cls.eyes));
    this.lock.setAttribute("aria-pressed", String(cls.locked));
    this.hide.setAttribute("aria-pressed", String(cls.names_hidden));
    this.front.hidden = this.room.inFront;
    this.clockEnd.hidden = cls.countdown_ms === null;
    write(byId("class-door-title"), cls.title || say("class.title"));
    write(byId("class-door-code"), halves(cls.code));
    write(byId("class-door-address"), withoutCode(address));
    write(byId("class-door-here"), hereSays(cls));
    if (address && address !== this.drawn) void this.draw(address);
  }

  private async draw(address: string): Promise<void> {
    this.drawn = address;
    const qr = await qrOf(address, say("class.qr", { address }));
    byId("class-qr").replaceChildren(...(qr ? [qr] : []));
    this.door.classList.toggle("without-qr", !qr);
  }

  /** Former classes: what was kept of them, and how it is deleted. */
  private setList(all: readonly Listing[]): void {
    const listed = JSON.stringify([all, this.room.now.room?.code]);
    if (listed === this.listed) return;
    this.listed = listed;
    byId("class-list-place").hidden = all.length === 0;
    this.list.replaceChildren(
      ...all.map((c) => {
        const here = c.code === this.room.now.room?.code;
        const remove = make("button", { type: "button", className: "plain" }, say(here ? "class.delete" : "class.come-back"));
        remove.addEventListener("click", () => {
          if (!here) return this.room.comeBackTo(c.code);
          this.ask(say("class.delete.sure", { name: nameOf(c), learners: c.learners, results: c.results }), say("class.delete"), () => this.room.delete());
        });
        const what = say("class.listed", { date: new Date(c.opened).toLocaleDateString(document.documentElement.lang), learners: c.learners, results: c.results });
        return make("li", {}, make("b", {}, nameOf(c)), " ", make("span", { className: "note" }, what), make("span", { className: "class-files" }, ...files(c.code), remove));
      }),
    );
  }

  /** Asks once more before something that cannot be undone. */
  private ask(what: string, yes: string, does: () => void): void {
    write(byId("class-sure-what"), what);
    const button = byId("class-sure-yes");
    const from = document.activeElement as HTMLElement | null;
    write(button, yes);
    const close = (): void => {
      this.sure.hidden = true;
      from?.focus();
    };
    button.onclick = () => {
      close();
      does();
    };
    byId("class-sure-no").onclick = close;
    this.sure.hidden = false;
    this.sure.scrollIntoView({ block: "nearest" });
    byId("class-sure-no").focus();
  }
}

const nameOf = ({ title, code }: Listing): string => title || say("class.named", { code: halves(code) });

/** What can be fetched of a class. */
export const files = (code: string): HTMLAnchorElement[] =>
  (["results.csv", "answers.csv", "report", "export"] as const).map((file) => make("a", { href: `class/${encodeURIComponent(code)}/${file}`, target: file === "report" ? "_blank" : "" }, say(`class.file.${file}`)));

/** The address to be typed, to which the code is typed then. */
function withoutCode(address: string): string {
  const url = address.replace(/^https?:\/\//, "");
  return url.replace(/\/[A-Za-z0-9]{6}$/, "").replace(/\/#\/class$/, "/#/class");
}
