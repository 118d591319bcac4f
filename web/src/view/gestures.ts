import { embedded } from "../basics/remember";

/** What the hand on mouse, pen or screen asks the camera to do. */
export interface CameraHand {
  orbit(dxDeg: number, dyDeg: number): void;
  pan(dxPx: number, dyPx: number): void;
  zoom(factor: number): void;
}

const degPerPx = 0.28;

/**
 * Left drag or one finger orbits; right, middle or shift drag pans; the wheel zooms; two fingers pan and pinch.
 * Returns what takes the listeners off again.
 */
export function listenToGestures(canvas: HTMLElement, hand: CameraHand): () => void {
  const fingers = new Map<number, { x: number; y: number }>();
  let panning = false;

  const down = (e: PointerEvent): void => {
    fingers.set(e.pointerId, { x: e.clientX, y: e.clientY });
    panning = e.pointerType === "mouse" && (e.button !== 0 || e.shiftKey);
    // A pointer that has gone meanwhile cannot be captured, and need not be.
    try {
      canvas.setPointerCapture(e.pointerId);
    } catch {
      fingers.delete(e.pointerId);
    }
  };
  const move = (e: PointerEvent): void => {
    const last = fingers.get(e.pointerId);
    if (!last) return;
    const [dx, dy] = [e.clientX - last.x, e.clientY - last.y];
    if (fingers.size === 1) {
      if (panning) hand.pan(dx, dy);
      else hand.orbit(dx * degPerPx, dy * degPerPx);
    } else if (fingers.size === 2) {
      const before = spread(fingers);
      fingers.set(e.pointerId, { x: e.clientX, y: e.clientY });
      const after = spread(fingers);
      hand.pan(dx / 2, dy / 2);
      if (before > 1 && after > 1) hand.zoom(after / before);
    }
    fingers.set(e.pointerId, { x: e.clientX, y: e.clientY });
  };
  const up = (e: PointerEvent): void => void fingers.delete(e.pointerId);
  const wheel = (e: WheelEvent): void => {
    if (embedded && !document.hasFocus()) return; // It scrolls the page around the frame, until one has pressed something in here.
    e.preventDefault();
    // Wheels report pixels, lines or pages.
    const px = e.deltaY * (e.deltaMode === 1 ? 24 : e.deltaMode === 2 ? 400 : 1);
    hand.zoom(Math.exp(-Math.max(-300, Math.min(300, px)) * 0.0015));
  };
  const menu = (e: Event): void => e.preventDefault();

  canvas.addEventListener("pointerdown", down);
  canvas.addEventListener("pointermove", move);
  canvas.addEventListener("pointerup", up);
  canvas.addEventListener("pointercancel", up);
  canvas.addEventListener("lostpointercapture", up);
  canvas.addEventListener("wheel", wheel, { passive: false });
  canvas.addEventListener("contextmenu", menu);
  return () => {
    canvas.removeEventListener("pointerdown", down);
    canvas.removeEventListener("pointermove", move);
    canvas.removeEventListener("pointerup", up);
    canvas.removeEventListener("pointercancel", up);
    canvas.removeEventListener("lostpointercapture", up);
    canvas.removeEventListener("wheel", wheel);
    canvas.removeEventListener("contextmenu", menu);
  };
}

function spread(fingers: Map<number, { x: number; y: number }>): number {
  const [a, b] = [...fingers.values()];
  return a && b ? Math.hypot(a.x - b.x, a.y - b.y) : 0;
}
