/** A PNG picture with nothing in it but the picture: the critical chunks of the file (PNG, W3C, 5.4), which no picture can do without. */
export function bare(png: Uint8Array): Uint8Array<ArrayBuffer> {
  const view = new DataView(png.buffer, png.byteOffset, png.byteLength);
  const kept: Uint8Array[] = [png.subarray(0, 8)];
  for (let at = 8; at + 12 <= png.length; ) {
    const end = at + 12 + view.getUint32(at);
    if ((png[at + 4]! & 0x20) === 0) kept.push(png.subarray(at, end)); // a capital letter
    at = end;
  }
  const whole = new Uint8Array(kept.reduce((sum, part) => sum + part.length, 0));
  let at = 0;
  for (const part of kept) {
    whole.set(part, at);
    at += part.length;
  }
  return whole;
}
