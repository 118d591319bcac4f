import { byId } from "../basics/dom";
import { forgetAll } from "../basics/remember";

/** "Not me", for computers that several use: forgets all that this device keeps, and begins as on a first visit. */
export function watchForget(): void {
  const dialog = byId<HTMLDialogElement>("forget");
  for (const button of document.querySelectorAll("[data-forget]")) button.addEventListener("click", () => dialog.showModal());
  byId("forget-all").addEventListener("click", () => {
    forgetAll();
    // Neither the address nor what is typed into the page stays: it is opened anew, and leads nowhere.
    for (const form of document.querySelectorAll("form")) form.reset();
    void endTeaching().then(() => location.replace(location.pathname));
  });
}

/** Ends an instructor's rights on this device: their cookie is one that only the server can take away. */
async function endTeaching(): Promise<void> {
  if (document.documentElement.dataset["teaches"] === undefined) return;
  await fetch("classes/not-me", { method: "POST" }).catch(() => undefined); // without a connection the rest is forgotten all the same
}
