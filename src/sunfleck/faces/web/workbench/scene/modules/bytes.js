// Scenes and paints from bytes; the layout is described in sunfleck/outputs/scene/packing.py.

const TYPES = { f4: Float32Array, u4: Uint32Array, u1: Uint8Array };

/**
 * Read what was packed.
 * @param {ArrayBuffer|Uint8Array} sent
 * @returns {object} the header, with `{array, shape}` in the place of every array; the arrays are views, not copies
 */
export function unpack(sent) {
  let buffer = sent;
  let from = 0;
  if (ArrayBuffer.isView(sent)) {
    // A view may begin anywhere; numbers may not.
    buffer = sent.byteOffset % 4 ? sent.slice().buffer : sent.buffer;
    from = sent.byteOffset % 4 ? 0 : sent.byteOffset;
  }
  const length = new DataView(buffer, from, 4).getUint32(0, true);
  const header = JSON.parse(new TextDecoder().decode(new Uint8Array(buffer, from + 4, length)));
  const body = from + 4 + length;
  const filled = (value) => {
    if (Array.isArray(value)) return value.map(filled);
    if (value === null || typeof value !== "object") return value;
    if (value.$) {
      const [kind, offset, shape] = value.$;
      const count = shape.reduce((a, b) => a * b, 1);
      return { array: new TYPES[kind](buffer, body + offset, count), shape };
    }
    return Object.fromEntries(Object.entries(value).map(([key, each]) => [key, filled(each)]));
  };
  return filled(header);
}
