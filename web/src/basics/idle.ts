/** While a jog is held, its renewals must not wait for anything that can be done later. */
let held = false;

export function setHeld(on: boolean): void {
  held = on;
}

/** Whether a jog is held: what takes a moment to be made waits until it is over. */
export const jogHeld = (): boolean => held;

/** Does something when the page has nothing else to do and no jog is held, so that no press has to wait for it. */
export function whenIdle(work: () => void): void {
  const soon = window.requestIdleCallback ?? ((done: () => void) => window.setTimeout(done, 300));
  soon(() => {
    if (held) window.setTimeout(() => whenIdle(work), 300);
    else work();
  });
}
