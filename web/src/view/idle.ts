/** Does something when the page has nothing else to do, so that no press has to wait for it. */
export function whenIdle(work: () => void): void {
  const soon = window.requestIdleCallback ?? ((done: () => void) => window.setTimeout(done, 300));
  soon(work);
}
