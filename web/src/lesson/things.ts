// Things of the page that a hint names: each has a button beside the hint, so that nobody has to look for it.
import { byId, make } from "../basics/dom";
import { type Key, say } from "../basics/say";

/** What hints name, by the text of its control, and that control. A test holds the lessons' texts against them. */
const THINGS: [named: Key, control: string][] = [
  ["show.walk", "walk"],
  ["task.back", "task-again"],
];

/** Offers those that a hint names. */
export function showThings(place: HTMLElement, hint: string): void {
  if (place.dataset["of"] === hint) return;
  place.dataset["of"] = hint;
  const named = THINGS.filter(([name]) => hint.toLowerCase().includes(say(name).toLowerCase()));
  place.replaceChildren(
    ...named.map(([name, control]) => {
      const button = make("button", { type: "button", className: "plain" }, say("task.show-it", { name: say(name) }));
      button.addEventListener("click", () => {
        // What is shown is of the pose that is asked about.
        if (control !== "task-again" && !byId("task-moved").hidden) byId("task-again").click();
        if (byId(control).ariaPressed !== "true") byId(control).click();
      });
      return button;
    }),
  );
  place.hidden = named.length === 0;
}
