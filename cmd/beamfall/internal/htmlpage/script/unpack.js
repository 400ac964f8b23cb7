// The way back from pack.go: base64, deflated; a header as JSON with its length before it; then
// tables of numbers.

// unpack is the header and a reader of the tables.
async function unpack(base64) {
  const text = atob(base64);
  const packed = new Uint8Array(text.length);
  for (let i = 0; i < text.length; i++) packed[i] = text.charCodeAt(i);
  const stream = new Blob([packed]).stream().pipeThrough(new DecompressionStream('deflate-raw'));
  const bytes = new Uint8Array(await new Response(stream).arrayBuffer());
  const length = new DataView(bytes.buffer).getUint32(0, true);
  const header = JSON.parse(new TextDecoder().decode(bytes.subarray(4, 4 + length)));
  return { header, tables: new Tables(bytes, 4 + length) };
}

// Tables reads one table after the other. A table is {rows, columns, codes}: whole steps of a
// logarithm, row by row.
class Tables {
  constructor(bytes, at) {
    this.bytes = bytes;
    this.at = at;
  }

  // whole is a number that is not negative: seven bits to a byte, the eighth says that more follow.
  whole() {
    let v = 0;
    for (let shift = 0; ; shift += 7) {
      const b = this.bytes[this.at++];
      v |= (b & 127) << shift;
      if (b < 128) return v;
    }
  }

  next() {
    const rows = this.whole();
    const columns = this.whole();
    const codes = new Uint16Array(rows * columns);
    for (let row = 0, i = 0; row < rows; row++) {
      for (let column = 0; column < columns; column++, i++) {
        const before = column > 0 ? codes[i - 1] : 0;
        const above = row > 0 ? codes[i - columns] : 0;
        const corner = row > 0 && column > 0 ? codes[i - columns - 1] : 0;
        let expected = before + above - corner;
        if (corner >= Math.max(before, above)) expected = Math.min(before, above);
        else if (corner <= Math.min(before, above)) expected = Math.max(before, above);
        const rest = this.whole();
        codes[i] = expected + ((rest >>> 1) ^ -(rest & 1));
      }
    }
    return { rows, columns, codes };
  }
}

// valuesOf are the numbers that the codes of a table stand for, by code.
function valuesOf(steps) {
  const values = new Float64Array(65536);
  for (let code = 1; code < values.length; code++)
    values[code] = steps.least * Math.exp((code - 1) / steps.fine);
  return values;
}
