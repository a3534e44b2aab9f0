// Files as one archive (ZIP, stored as they are): pictures are as small as they get already.
"use strict";

const DAY = 0x21; // 1980-01-01, the first that an archive can tell: when each was taken stands in the table
const UTF8_NAMES = 0x0800;
const VERSION = 20;

const REMAINDERS = Uint32Array.from({ length: 256 }, (_, first) => {
  let value = first;
  for (let bit = 0; bit < 8; bit += 1) value = value & 1 ? (value >>> 1) ^ 0xedb88320 : value >>> 1;
  return value;
});

function checksum(bytes) {
  let value = -1;
  for (const one of bytes) value = (value >>> 8) ^ REMAINDERS[(value ^ one) & 0xff];
  return ~value >>> 0;
}

// Each as [value, number of bytes], the lowest byte first.
function packed(fields) {
  const bytes = fields.flatMap(([value, count]) => Array.from({ length: count }, (_, at) => (value >>> (8 * at)) & 0xff));
  return Uint8Array.from(bytes);
}

// Files are [name, Uint8Array].
export function zipped(files) {
  const body = [];
  const index = [];
  let at = 0;
  for (const [called, data] of files) {
    const name = new TextEncoder().encode(called);
    const told = [[VERSION, 2], [UTF8_NAMES, 2], [0, 2], [0, 2], [DAY, 2], [checksum(data), 4], [data.length, 4], [data.length, 4], [name.length, 2], [0, 2]];
    const head = packed([[0x04034b50, 4], ...told]);
    body.push(head, name, data);
    index.push(packed([[0x02014b50, 4], [VERSION, 2], ...told, [0, 2], [0, 2], [0, 2], [0, 4], [at, 4]]), name);
    at += head.length + name.length + data.length;
  }
  const long = index.reduce((sum, one) => sum + one.length, 0);
  const end = packed([[0x06054b50, 4], [0, 2], [0, 2], [files.length, 2], [files.length, 2], [long, 4], [at, 4], [0, 2]]);
  return new Blob([...body, ...index, end], { type: "application/zip" });
}
