/**
 * The inner loop of {@link addSquaredLengths} two numbers at a time, as WebAssembly: JavaScript has no such instructions,
 * and one number at a time the products of a variance take twice as long. The program is a hundred bytes, put together
 * here instruction by instruction.
 *
 * @source WebAssembly Core Specification 2.0 (W3C), chapter 5 (binary format), with the codes named below
 */

const I32 = 0x7f;
const V128 = 0x7b;
const LOOP = 0x03;
const END = 0x0b;
const BRANCH_IF = 0x0d;
const GET = 0x20;
const SET = 0x21;
const I32_CONST = 0x41;
const I32_LESS = 0x49;
const I32_ADD = 0x6a;
const F64_STORE = 0x39;
const F64_ADD = 0xa0;
const SIMD = 0xfd;
const V128_LOAD = [SIMD, 0x00] as const;
const F64X2_LANE = [SIMD, 0x21] as const;
const F64X2_ADD = [SIMD, 0xf0, 0x01] as const;
const F64X2_MUL = [SIMD, 0xf2, 0x01] as const;
/** Alignment, as a power of 2, of what is loaded and stored. */
const EIGHT = 3;
/** Numbers per turn of the loop: two pairs. */
const TURN = 4;

/** Unsigned LEB128, for the small numbers in it. */
function leb(value: number): number[] {
  return value < 128 ? [value] : [(value & 127) | 128, ...leb(value >> 7)];
}

const section = (code: number, body: readonly number[]): number[] => [code, ...leb(body.length), ...body];

/**
 * (a, b, stride, bytes, out): products of four rows from a with two rows from b, `bytes` long, written to out row by row.
 * Every pair of products keeps its own running pair of sums.
 */
function program(): Uint8Array<ArrayBuffer> {
  const [a, b, stride, bytes, out] = [0, 1, 2, 3, 4] as const;
  const [a1, a2, a3, b1, end] = [5, 6, 7, 8, 9] as const;
  const sums = 10;
  const [left, right, row] = [18, 19, 20] as const;
  const rows = [a, a1, a2, a3];
  const addTo = (target: number, x: number, y: number): number[] => [GET, x, GET, y, I32_ADD, SET, target];
  const load = (pointer: number, offset: number, target: number): number[] => [
    ...[GET, pointer, ...V128_LOAD, EIGHT, offset],
    ...[SET, target],
  ];
  const gather = (sum: number, x: number, y: number): number[] => [
    ...[GET, sum, GET, x, GET, y, ...F64X2_MUL, ...F64X2_ADD, SET, sum],
  ];
  const turn = [0, 16].flatMap((offset) => [
    ...load(b, offset, left),
    ...load(b1, offset, right),
    ...rows.flatMap((pointer, r) => [
      ...load(pointer, offset, row),
      ...gather(sums + 2 * r, row, left),
      ...gather(sums + 2 * r + 1, row, right),
    ]),
  ]);
  const advance = [...rows, b, b1].flatMap((pointer) => [
    ...[GET, pointer, I32_CONST, 8 * TURN, I32_ADD, SET, pointer],
  ]);
  const body = [
    ...[2, 5, I32, 11, V128],
    ...addTo(a1, a, stride),
    ...addTo(a2, a1, stride),
    ...addTo(a3, a2, stride),
    ...addTo(b1, b, stride),
    ...addTo(end, a, bytes),
    ...[LOOP, 0x40, ...turn, ...advance, GET, a, GET, end, I32_LESS, BRANCH_IF, 0, END],
    ...Array.from({ length: 8 }, (_, k) => [
      ...[GET, out, GET, sums + k, ...F64X2_LANE, 0, GET, sums + k, ...F64X2_LANE, 1, F64_ADD],
      ...[F64_STORE, EIGHT, 8 * k],
    ]).flat(),
    END,
  ];
  const text = (word: string): number[] => [word.length, ...Array.from(word, (c) => c.charCodeAt(0))];
  return new Uint8Array([
    ...[0x00, 0x61, 0x73, 0x6d, 1, 0, 0, 0],
    ...section(1, [1, 0x60, 5, I32, I32, I32, I32, I32, 0]),
    ...section(2, [1, ...text("m"), ...text("m"), 0x02, 0x00, 1]),
    ...section(3, [1, 0]),
    ...section(7, [1, ...text("f"), 0x00, 0]),
    ...section(10, [1, ...leb(body.length), ...body]),
  ]);
}

interface Memory {
  readonly buffer: ArrayBuffer;
  grow(pages: number): number;
}

/** What is used of WebAssembly, which the language's own library does not declare. */
interface Assembly {
  readonly Memory: new (size: { readonly initial: number }) => Memory;
  readonly Module: new (bytes: Uint8Array<ArrayBuffer>) => object;
  readonly Instance: new (
    module: object,
    imports: { readonly m: { readonly m: Memory } },
  ) => { readonly exports: { readonly f: Kernel["products"] } };
}

interface Kernel {
  readonly memory: Memory;
  readonly products: (a: number, b: number, stride: number, bytes: number, out: number) => void;
}

const PAGE = 65_536;
let kernel: Kernel | null | undefined;

/** Compiled when first asked for; null on a processor without such instructions. */
function kernelOf(): Kernel | null {
  if (kernel !== undefined) return kernel;
  try {
    const { Memory, Module, Instance } = (globalThis as unknown as { readonly WebAssembly: Assembly })
      .WebAssembly;
    const memory = new Memory({ initial: 1 });
    const { exports } = new Instance(new Module(program()), { m: { m: memory } });
    kernel = { memory, products: exports.f };
  } catch {
    kernel = null;
  }
  return kernel;
}

/** Results of two calls: four rows with four. */
const TILE = 4;
const RESULTS = 2 * 2 * TILE;
/** The matrix the memory holds: the one multiplied last, as a rule that of the next block too. Nobody may change it. */
let loaded: Float64Array | undefined;

/**
 * Adds to sums[b] the squared length of L^-1 r for each row r of the block, as {@link addSquaredLengths} does.
 *
 * @returns false where this processor cannot do it so
 */
export function addSquaredLengthsByPairs({
  block,
  count,
  inverse,
  width,
  sums,
}: {
  readonly block: Float64Array;
  readonly count: number;
  readonly inverse: Float64Array;
  readonly width: number;
  readonly sums: Float64Array;
}): boolean {
  const found = kernelOf();
  if (found === null) return false;
  const { memory, products } = found;
  const padded = Math.ceil(width / TILE) * TILE;
  const rows = Math.ceil(count / TILE) * TILE;
  const rowsAt = RESULTS + padded * padded;
  const needed = Math.ceil((8 * (rowsAt + rows * padded)) / PAGE) - memory.buffer.byteLength / PAGE;
  if (needed > 0) {
    memory.grow(needed);
    loaded = undefined;
  }
  const numbers = new Float64Array(memory.buffer);
  const copy = (from: Float64Array, lines: number, at: number): void => {
    for (let r = 0; r < lines; r++) {
      numbers.set(from.subarray(r * width, (r + 1) * width), at + r * padded);
      numbers.fill(0, at + r * padded + width, at + (r + 1) * padded);
    }
  };
  if (loaded !== inverse) copy(inverse, padded, RESULTS);
  loaded = inverse;
  copy(block, rows, rowsAt);
  for (let b = 0; b < rows; b += TILE) {
    for (let r = 0; r < padded; r += 2) {
      const bytes = 8 * TILE * (Math.floor(r / TILE) + 1);
      products(8 * (rowsAt + b * padded), 8 * (RESULTS + r * padded), 8 * padded, bytes, 0);
      for (let i = 0; i < TILE; i++) sums[b + i]! += numbers[2 * i]! ** 2 + numbers[2 * i + 1]! ** 2;
    }
  }
  return true;
}
