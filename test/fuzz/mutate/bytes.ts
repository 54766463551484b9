import type { RandomStream } from "../../../lib/numeric/index.js";
import { pick } from "./odd.js";

type Change = (draw: RandomStream, bytes: Buffer, other: Buffer) => Buffer;

const place = (draw: RandomStream, bytes: Buffer): number => draw.integer(0, Math.max(0, bytes.length - 1));
const stretch = (draw: RandomStream, bytes: Buffer): [number, number] => {
  const from = place(draw, bytes);
  return [from, Math.min(bytes.length, from + 1 + Math.floor(draw.uniform() ** 3 * 400))];
};
/** Lengths, counts and signs of binary formats, at their ends. */
const words = [0, 1, 2, 0x7f, 0x80, 0xff, 0x7fff, 0xffff, 0x10000, 0x7fffffff, 0x80000000, 0xffffffff];

const changes: readonly Change[] = [
  function flip(draw, bytes) {
    const found = Buffer.from(bytes);
    if (found.length > 0) found[place(draw, bytes)]! ^= 1 << draw.integer(0, 7);
    return found;
  },
  function put(draw, bytes) {
    const found = Buffer.from(bytes);
    if (found.length > 0) found[place(draw, bytes)] = draw.integer(0, 255);
    return found;
  },
  function lie(draw, bytes) {
    if (bytes.length < 4) return bytes;
    const found = Buffer.from(bytes);
    const at = draw.integer(0, Math.min(found.length - 4, draw.uniform() < 0.5 ? 64 : found.length));
    draw.uniform() < 0.5
      ? found.writeUInt32LE(pick(draw, words), at)
      : found.writeUInt16LE(pick(draw, words) & 0xffff, at);
    return found;
  },
  (draw, bytes) => bytes.subarray(0, place(draw, bytes)),
  (draw, bytes) => bytes.subarray(place(draw, bytes)),
  function leaveOut(draw, bytes) {
    const [from, to] = stretch(draw, bytes);
    return Buffer.concat([bytes.subarray(0, from), bytes.subarray(to)]);
  },
  function repeat(draw, bytes) {
    const [from, to] = stretch(draw, bytes);
    return Buffer.concat([bytes.subarray(0, to), bytes.subarray(from)]);
  },
  (draw, bytes, other) =>
    Buffer.concat([bytes.subarray(0, place(draw, bytes)), other.subarray(place(draw, other))]),
  function fill(draw, bytes) {
    const found = Buffer.from(bytes);
    const [from, to] = stretch(draw, bytes);
    found.fill(pick(draw, [0, 0x20, 0xff, 0x22, 0x0d]), from, to);
    return found;
  },
];

/** Bytes with one thing done to them: turned bits, lies where a length may stand, parts cut, doubled, or taken from another file. */
export function mutateBytes(draw: RandomStream, bytes: Uint8Array, other: Uint8Array = bytes): Buffer {
  return pick(draw, changes)(draw, Buffer.from(bytes), Buffer.from(other));
}
