// What the browser keeps between visits. Storage may be forbidden or full; then it is kept until the page is left, and nothing breaks.

const held = new Map<string, string>();

/**
 * The page is shown in a frame of another page (?embed=1). It keeps nothing then, and finds nothing: frames in one page, and the whole page beside
 * them, would take each other's arm and lesson, and a page about something else is not where a learner's progress is expected.
 */
export const embedded = /[?&]embed=1(&|$)/.test(globalThis.location?.search ?? "");

export const remember = (key: string, value: string): void => set(() => localStorage, key, value);
export const recall = (key: string): string | null => get(() => localStorage, key);

/** By what the progress of a lesson is remembered. */
export const progressKey = (lesson: string): string => `progress-${lesson}`;

/** What this browser tab has open: a reload comes back to it, another tab gets its own. */
export const tab = {
  /** The bench, with the arm as it stands. */
  get bench(): string {
    return get(() => sessionStorage, "bench") ?? "";
  },
  set bench(id: string) {
    set(() => sessionStorage, "bench", id);
  },
  /** A bench of the page's own at rest, as link/alone.ts keeps it; "" for none. */
  get kept(): string {
    return get(() => sessionStorage, "kept") ?? "";
  },
  set kept(bench: string) {
    set(() => sessionStorage, "kept", bench);
  },
  /** The lesson, so that it goes on at another bench. */
  get lesson(): string {
    return get(() => sessionStorage, "lesson") ?? "";
  },
  set lesson(id: string) {
    set(() => sessionStorage, "lesson", id);
  },
  /** What the plot shows, as panels/plot.ts keeps it; "" for nothing. */
  get plotted(): string {
    return get(() => sessionStorage, "plotted") ?? "";
  },
  set plotted(lines: string) {
    set(() => sessionStorage, "plotted", lines);
  },
  /** The program for whose sake the page was loaded anew last; "" for none. */
  get reloadedFor(): string {
    return get(() => sessionStorage, "reloaded-for") ?? "";
  },
  set reloadedFor(program: string) {
    set(() => sessionStorage, "reloaded-for", program);
  },
  /** The class that sees the arm of this tab, which is its instructor's; "" for none. */
  get inFront(): string {
    return get(() => sessionStorage, "in-front") ?? "";
  },
  set inFront(code: string) {
    set(() => sessionStorage, "in-front", code);
  },
  /** Which arm the page shows in a class: "own", or else the one in front. */
  get shownArm(): string {
    return get(() => sessionStorage, "shown-arm") ?? "";
  },
  set shownArm(arm: string) {
    set(() => sessionStorage, "shown-arm", arm);
  },
  /** How often one was sent somewhere in a class, all that was followed: "code, all, alone". */
  get sent(): string {
    return get(() => sessionStorage, "sent") ?? "";
  },
  set sent(counts: string) {
    set(() => sessionStorage, "sent", counts);
  },
  /** What the page was left at to be loaded again; "" for nothing. */
  get left(): string {
    return get(() => sessionStorage, "left") ?? "";
  },
  set left(at: string) {
    set(() => sessionStorage, "left", at);
  },
};

/** Where the files of the learner's own meshes are kept; see meshes/keep.ts. */
export const KEPT_FILES = "handrule";

let closed = false;

/** Forgets all that is kept on this device, the chosen language too. From then on nothing is kept any more by this page. */
export function forgetAll(): void {
  closed = true;
  held.clear();
  for (const storage of [() => localStorage, () => sessionStorage]) {
    try {
      for (const key of Object.keys(storage())) if (key.startsWith("handrule-")) storage().removeItem(key);
    } catch {
      // Nothing is kept there.
    }
  }
  window.indexedDB?.deleteDatabase(KEPT_FILES);
  for (const cookie of document.cookie.split("; ")) {
    const name = cookie.split("=")[0]!;
    if (name.startsWith("handrule-")) document.cookie = `${name}=; path=${new URL(".", location.href).pathname}; max-age=0; samesite=lax`;
  }
}

function set(storage: () => Storage, key: string, value: string): void {
  if (closed) return;
  if (embedded) {
    held.set(key, value);
    return;
  }
  try {
    storage().setItem(`handrule-${key}`, value);
  } catch {
    held.set(key, value); // as long as the page is there
  }
}

function get(storage: () => Storage, key: string): string | null {
  if (embedded) return held.get(key) ?? null;
  try {
    return storage().getItem(`handrule-${key}`) ?? held.get(key) ?? null;
  } catch {
    return held.get(key) ?? null;
  }
}
