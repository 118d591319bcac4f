import { embedded } from "../basics/remember";
import { ownBench } from "./link";

/** Keeps a site without a server for when the network is off, where the browser can, once the page is there. */
export function keepOffline(): void {
  if (embedded) return; // Whoever opens a page about something else has not asked to have this one put away.
  if (!document.querySelector("link[rel=manifest]") || ownBench() === "" || !("serviceWorker" in navigator)) return;
  const here = navigator.serviceWorker;
  const controlled = here.controller !== null;
  // A new version takes over while a page opens that is the only one, and that page begins anew with it: versions never mix.
  if (controlled) here.addEventListener("controllerchange", () => location.reload(), { once: true });
  void here
    .register(new URL("offline.js", document.baseURI))
    .then(({ waiting }) => {
      waiting?.postMessage("take-over");
      return here.ready;
    })
    .then(({ active }) => active?.postMessage("put-away-the-rest"))
    .catch(() => {}); // Without it the site works as long as the network does.
}
