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
    location.replace(location.pathname);
  });
}
