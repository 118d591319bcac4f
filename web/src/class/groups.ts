import { make } from "../basics/dom";
import { say } from "../basics/say";
import type { GroupView, RoundView } from "./wire";

/** What a group of the picture is called, so that its colour need not be told from others. */
export const letterOf = (group: number): string => String.fromCharCode(65 + group);

/** What a group reveals, where that says more than what was answered. */
function revealed({ given, name, right }: GroupView): string {
  return right || given.toLowerCase() === name.toLowerCase() || name.endsWith(given) ? "" : name;
}

/** So many groups have a colour of their own, in the table and in the picture; see view/crowd.ts. */
const COLOURS = 6;

/** What a class has answered: a row for each group, a column for each round, so that they stand beside each other. */
export function groupsTable(rounds: readonly RoundView[], coloured: boolean): HTMLTableElement {
  const last = rounds.at(-1)!;
  // Groups that reveal the same are one row, whatever exactly was answered in each round.
  const numbers = [...new Set([...last.groups, ...rounds.flatMap((r) => r.groups)].map((g) => g.alike))];
  const most = Math.max(1, ...rounds.flatMap((r) => r.groups.map((g) => g.count)));
  const rows = numbers.flatMap((number, i) => {
    const groups = rounds.map((round) => round.groups.find((g) => g.alike === number));
    const group = [...groups].reverse().find((g) => g)!;
    const head = make("th", { scope: "row" });
    if (coloured && i < last.groups.length) head.append(make("span", { className: `class-swatch crowd-${i % COLOURS}` }, letterOf(i)), " ");
    head.append(make("span", { className: "class-group-name" }, group.given || group.name));
    if (group.right !== null) head.append(" ", make("span", { className: group.right ? "class-tick" : "unseen" }, group.right ? `✓ ${say("class.group.right")}` : say("class.group.wrong")));
    const cells = groups.map((g) => {
      const bar = make("span", { className: "class-bar-of", ariaHidden: "true" });
      bar.style.setProperty("--part", String((g?.count ?? 0) / most));
      return make("td", { className: "number" }, bar, make("span", {}, String(g?.count ?? 0)));
    });
    const row = make("tr", { className: group.right ? "right" : "" }, head, ...cells);
    const means = group.given ? revealed(group) : "";
    if (!means && !group.says) return [row];
    const says = make("td", { colSpan: 1 + rounds.length }, ...(means ? [make("b", {}, means), " "] : []), make("span", { className: "class-group-says" }, group.says));
    return [row, make("tr", { className: "class-means" }, says)];
  });
  const head = make("tr", {}, make("th", { scope: "col" }, say("class.group")), ...rounds.map((r, i) => make("th", { scope: "col" }, rounds.length > 1 ? say("class.round", { round: i + 1, given: r.given }) : say("class.answers", { count: r.given }))));
  const table = make("table", { className: "class-table" }, make("caption", { className: "unseen" }, say("class.groups")), make("thead", {}, head), make("tbody", {}, ...rows));
  table.dataset["rounds"] = String(rounds.length);
  return table;
}
