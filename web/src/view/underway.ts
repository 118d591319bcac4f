/** What WebGL 2 tells of when its work is done. */
export type Fences = Pick<
  WebGL2RenderingContext,
  "fenceSync" | "getSyncParameter" | "deleteSync" | "flush" | "SYNC_GPU_COMMANDS_COMPLETE" | "SYNC_STATUS" | "UNSIGNALED"
>;

/**
 * Pictures that the graphics have been given and have not drawn yet. Giving them one takes no time, and drawing it may take long:
 * so much that the next thing which the page must be answered by them waits for all of it.
 */
export class Underway<Kind> {
  private readonly pictures: { fence: WebGLSync | null; given: number; kind: Kind }[] = [];

  constructor(private readonly gl: Fences) {}

  get count(): number {
    return this.pictures.length;
  }

  /** A picture has been given to be drawn. */
  add(given: number, kind: Kind): void {
    const { gl } = this;
    this.pictures.push({ fence: gl.fenceSync(gl.SYNC_GPU_COMMANDS_COMPLETE, 0), given, kind });
    gl.flush();
  }

  /** Which of them are drawn by now, and how long that took at most, ms. It waits for nothing. */
  drawn(now: number): { ms: number; kind: Kind }[] {
    const { gl, pictures } = this;
    const waits = pictures.findIndex(({ fence }) => fence && gl.getSyncParameter(fence, gl.SYNC_STATUS) === gl.UNSIGNALED);
    return pictures.splice(0, waits < 0 ? pictures.length : waits).map(({ fence, given, kind }) => {
      gl.deleteSync(fence);
      return { ms: now - given, kind };
    });
  }
}
