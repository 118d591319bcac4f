// What the browser keeps between visits. Storage may be forbidden or full; then nothing is kept, and nothing breaks.

export function remember(key: string, value: string): void {
  try {
    localStorage.setItem(`handrule-${key}`, value);
  } catch {
    // Not kept.
  }
}

export function recall(key: string): string | null {
  try {
    return localStorage.getItem(`handrule-${key}`);
  } catch {
    return null;
  }
}

/** The lesson that is open in this browser tab, so that it goes on at another bench. */
export const tab = {
  get lesson(): string {
    try {
      return sessionStorage.getItem("handrule-lesson") ?? "";
    } catch {
      return "";
    }
  },
  set lesson(id: string) {
    try {
      sessionStorage.setItem("handrule-lesson", id);
    } catch {
      // It is to be chosen again.
    }
  },
};

/** The bench of this browser tab: a reload comes back to the same arm, another tab gets its own. */
export const bench = {
  get id(): string {
    try {
      return sessionStorage.getItem("handrule-bench") ?? "";
    } catch {
      return "";
    }
  },
  set id(id: string) {
    try {
      sessionStorage.setItem("handrule-bench", id);
    } catch {
      // The next load gets a fresh bench.
    }
  },
};
