import { byId, choose, chosen, make, within, write } from "../basics/dom";
import { say } from "../basics/say";
import { onPhone, phone } from "../shell/places";
import type { Room } from "./room";
import type { ClassView } from "./wire";
import { halves } from "./seat";

/** Who is here. */
export const hereSays = ({ here, learners }: { here: number; learners: number }): string => (learners === 0 ? say("class.board.none") : say("class.here", { here, learners }));

/** Who drives the arm in front. */
const driverSays = (cls: ClassView): string => (cls.driver ? say("class.driver", { name: cls.driver }) : say("class.driver.hidden"));

/** The class at the head of the page. A learner chooses which arm is shown and raises a hand; an instructor sees who is here. */
export class Bar {
  private readonly root = byId("class-bar");
  private readonly title = byId("class-title");
  private readonly who = byId("class-who");
  private readonly arms = byId("class-arms");
  private readonly acts = byId("class-acts");
  private readonly countdown = byId("class-countdown");
  private readonly left = make("p", { className: "class-countdown class-left", ariaHidden: "true", hidden: true }); // the same where the bar is out of sight
  private readonly more = byId("class-more");
  private readonly menu = byId("class-menu");
  private readonly newsPlace = byId("class-news");
  private readonly heard = byId("class-heard");
  private readonly follows = byId("class-follows");
  private readonly tryHere = this.act("class.try", () => this.room.tryFromHere(), "class.try");
  private readonly tryStage = this.act("class.try-stage", () => this.room.tryStage(), "class.try-stage");
  private readonly hand = this.act("class.hand", () => this.room.send({ type: "hand", up: !this.room.now.mine?.hand }), "class.hand");
  private readonly along = this.act("class.along", () => this.room.lookAlong(!this.room.looksAlong), "class.along");
  private readonly takeBack = this.act("class.take-back", () => this.room.send({ type: "hand-over", learner: "" }));
  private hints = -1; // so many have been shown
  private driving = false;
  private was = { in: "", up: true, left: false, ran: false }; // what was said of it to whoever hears the page
  private eyes = false;
  private eyesNews: HTMLElement | null = null;

  constructor(private readonly room: Room) {
    this.acts.append(this.hand, this.takeBack);
    within(this.follows, "button.main").before(this.tryHere, " ", this.tryStage, " ", this.along, " ");
    this.arms.addEventListener("change", () => this.room.showArm(chosen("class-arm") === "front" ? "front" : "own"));
    within(this.follows, "button.main").addEventListener("click", () => this.back());
    byId("view").after(this.left);
    const placeNews = (): void => (onPhone() ? byId("view").after(this.newsPlace) : this.root.append(this.newsPlace));
    phone().addEventListener("change", placeNews);
    placeNews();
    window.setInterval(() => this.tick(), 250);
    if (!room.teaches) this.fillMenu();
  }

  /** Says something that has just happened, until it is put away. */
  news(text: string): HTMLElement {
    const line = make("p", { className: "class-notice" }, make("span", {}, text));
    const close = make("button", { type: "button", className: "small", ariaLabel: say("class.news.close") }, make("span", { ariaHidden: "true" }, "×"));
    close.addEventListener("click", () => line.remove());
    line.append(close);
    this.newsPlace.prepend(line);
    while (this.newsPlace.childElementCount > 2) this.newsPlace.lastElementChild!.remove();
    return line;
  }

  set(): void {
    const { room: cls, mine, question, up } = this.room.now;
    const inClass = cls !== null && (this.room.teaches ? !cls.ended : this.room.joined);
    this.root.hidden = !inClass;
    if (!inClass) this.left.hidden = true;
    document.body.classList.toggle("in-class", inClass);
    document.body.classList.toggle("hands-in", inClass && !this.room.teaches); // results go to the class by themselves
    this.setFollows();
    this.hear(inClass ? cls : null);
    if (!cls || !inClass) return;
    write(this.title, cls.title || say("class.named", { code: halves(cls.code) }));
    write(this.who, this.whoText());
    this.root.classList.toggle("class-down", !up);
    const learner = !this.room.teaches;
    const follows = this.room.seams.shown.follows;
    const asked = question !== null && question.kind !== "choice";
    this.arms.hidden = !learner || cls.ended || cls.eyes || asked || (mine?.drives ?? false) || !cls.front; // where there is no choice
    choose("class-arm", follows ? "front" : "own");
    this.tryHere.hidden = !learner || !follows || cls.eyes || asked || (mine?.drives ?? false) || !this.room.now.front;
    this.tryStage.hidden = this.tryHere.hidden || !this.room.now.front?.lesson;
    this.along.hidden = !learner || !follows;
    this.along.setAttribute("aria-pressed", String(this.room.looksAlong));
    this.hand.hidden = !learner || cls.ended;
    this.hand.setAttribute("aria-pressed", String(mine?.hand ?? false));
    write(this.hand, say(mine?.hand ? "class.hand.down" : "class.hand"));
    this.takeBack.hidden = learner || !cls.driven;
    this.more.hidden = !learner;
    if (learner) this.tellChanges();
    this.tick();
  }

  /** Says what a look at the page tells: that one is in a class, or has lost the connection to it. */
  private hear(cls: ClassView | null): void {
    const { mine, up } = this.room.now;
    if (cls && cls.code !== this.was.in) write(this.heard, this.room.teaches ? say("class.named", { code: halves(cls.code) }) : say("class.joined", { name: cls.title || halves(cls.code), you: mine?.name ?? "" }));
    else if (cls && up !== this.was.up) write(this.heard, say(up ? "class.up" : "class.down"));
    this.was.in = cls?.code ?? "";
    this.was.up = up;
  }

  /** What has come for this learner since they were told last. */
  private tellChanges(): void {
    const { mine, room: cls } = this.room.now;
    if (!mine || !cls) return;
    if (this.hints >= 0 ? mine.hints > this.hints : mine.hint !== "") this.news(say("class.hint", { text: mine.hint }));
    this.hints = mine.hints;
    if (mine.drives !== this.driving) this.news(say(mine.drives ? "class.drives.yours" : "class.drives.back"));
    this.driving = mine.drives;
    if (cls.eyes && !this.eyes) this.eyesNews = this.news(say("class.eyes.on"));
    else if (!cls.eyes) this.eyesNews?.remove(); // it is true no more
    this.eyes = cls.eyes;
  }

  private whoText(): string {
    const { room: cls, mine, up } = this.room.now;
    if (!cls) return "";
    if (!up) return say("class.down");
    if (cls.ended) return say("class.ended");
    const driver = cls.driven ? driverSays(cls) : "";
    if (!this.room.teaches) return [say("class.you", { name: mine?.name ?? "" }), mine?.drives ? say("class.drives") : driver].filter(Boolean).join(" ");
    // A class without a title is called by its code already.
    const parts = [cls.title && halves(cls.code), hereSays(cls), cls.hands > 0 && say("class.hands", { count: cls.hands }), cls.locked && say("class.locked"), driver];
    return parts.filter(Boolean).join(" · ");
  }

  /** Below the picture, in place of what jogs: whose arm this is. */
  private setFollows(): void {
    const { room: cls, question, looksAt } = this.room.now;
    const { follows } = this.room.seams.shown;
    this.follows.hidden = !follows;
    if (!follows) return;
    const asked = question !== null && question.kind !== "choice";
    const says = looksAt ? say("class.look.says", { name: this.nameOf(looksAt) }) : this.room.teaches ? driverSays(cls!) : say(cls?.eyes ? "class.follows.eyes" : asked ? "class.follows.asked" : "class.follows");
    write(within(this.follows, "span"), says);
    const button = within<HTMLButtonElement>(this.follows, "button.main");
    write(button, say(this.room.teaches && !looksAt ? "class.take-back" : "class.follows.back"));
    button.hidden = !this.room.teaches && ((cls?.eyes ?? false) || asked);
  }

  /** One's own arm is shown again; an instructor takes back the one that a learner drives. */
  private back(): void {
    if (!this.room.teaches) this.room.showArm("own");
    else if (this.room.now.looksAt) this.room.lookAt("");
    else this.room.send({ type: "hand-over", learner: "" });
  }

  private nameOf(learner: string): string {
    return this.room.now.board?.rows.find((row) => row.learner === learner)?.name || say("class.learner");
  }

  private tick(): void {
    const { ends } = this.room.now;
    const left = ends === null ? 0 : Math.ceil((ends - performance.now()) / 1000);
    this.countdown.hidden = this.left.hidden = ends === null;
    if (ends === null) {
      this.was.left = false;
      return;
    }
    const seconds = Math.max(0, left);
    const text = left < 0 ? say("class.time.up") : `${Math.floor(seconds / 60)}:${String(seconds % 60).padStart(2, "0")}`;
    write(this.countdown, text);
    write(this.left, text);
    this.countdown.setAttribute("aria-label", say("class.time", { minutes: Math.floor(seconds / 60), seconds: seconds % 60 }));
    const ran = left >= 0;
    if (ran !== this.was.ran || !this.was.left) write(this.heard, ran ? say("class.time", { minutes: Math.floor(seconds / 60), seconds: seconds % 60 }) : text);
    this.was.ran = ran;
    this.was.left = true;
    for (const shown of [this.countdown, this.left]) shown.classList.toggle("soon", left <= 10);
  }

  private act(key: "class.along" | "class.try" | "class.try-stage" | "class.hand" | "class.take-back", does: () => void, help = ""): HTMLButtonElement {
    const button = make("button", { type: "button", className: "plain", hidden: true }, say(key));
    if (help) button.dataset["help"] = help;
    button.addEventListener("click", does);
    return button;
  }

  /** A learner's: another name, and the way out. */
  private fillMenu(): void {
    const name = make("input", { type: "text", maxLength: 60, required: true, autocomplete: "name" });
    const form = make("form", { autocomplete: "off" }, make("label", {}, say("class.join.name"), " ", name), make("button", { className: "plain" }, say("class.rename")));
    const leave = make("button", { type: "button", className: "plain" }, say("class.leave"));
    const forget = make("button", { type: "button", className: "plain" }, say("class.leave.forget"));
    this.menu.append(form, make("p", { className: "row" }, leave, forget), make("p", { className: "note" }, say("class.leave.note")));
    this.menu.addEventListener("toggle", () => (name.value = this.room.now.mine?.name ?? ""));
    form.addEventListener("submit", (event) => {
      event.preventDefault();
      this.room.send({ type: "join", name: name.value.trim(), number: "", email: "" });
      this.menu.hidePopover();
    });
    leave.addEventListener("click", () => this.room.leave(false));
    forget.addEventListener("click", () => this.room.leave(true));
  }
}
