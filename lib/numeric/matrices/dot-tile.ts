import { addSquaredLengthsByPairs } from "./simd-tile.js";

/**
 * Dot products of rows in blocks, the inner loop of the factorisations: a block of 4 x 4 products loads each
 * number once for several products and runs more than twice as fast as single dot products.
 */

/** Rows and columns of a block. */
export const TILE = 4;

/**
 * Dot product of a[i .. i + length) and b[j .. j + length), in four running sums; NaN where either array ends before.
 */
export function dot(a: Float64Array, i: number, b: Float64Array, j: number, length: number): number {
  let s0 = 0;
  let s1 = 0;
  let s2 = 0;
  let s3 = 0;
  let k = 0;
  for (; k + 3 < length; k += 4) {
    s0 += a[i + k]! * b[j + k]!;
    s1 += a[i + k + 1]! * b[j + k + 1]!;
    s2 += a[i + k + 2]! * b[j + k + 2]!;
    s3 += a[i + k + 3]! * b[j + k + 3]!;
  }
  for (; k < length; k++) s0 += a[i + k]! * b[j + k]!;
  return s0 + s1 + (s2 + s3);
}

/** Four rows of a with two rows of b: eight sums stay in registers. */
function fourByTwo(
  a: Float64Array,
  i: number,
  b: Float64Array,
  j: number,
  stride: number,
  length: number,
  out: Float64Array,
  column: number,
): void {
  const i1 = i + stride;
  const i2 = i1 + stride;
  const i3 = i2 + stride;
  const j1 = j + stride;
  let s00 = 0;
  let s01 = 0;
  let s10 = 0;
  let s11 = 0;
  let s20 = 0;
  let s21 = 0;
  let s30 = 0;
  let s31 = 0;
  for (let k = 0; k < length; k++) {
    const b0 = b[j + k]!;
    const b1 = b[j1 + k]!;
    const a0 = a[i + k]!;
    s00 += a0 * b0;
    s01 += a0 * b1;
    const a1 = a[i1 + k]!;
    s10 += a1 * b0;
    s11 += a1 * b1;
    const a2 = a[i2 + k]!;
    s20 += a2 * b0;
    s21 += a2 * b1;
    const a3 = a[i3 + k]!;
    s30 += a3 * b0;
    s31 += a3 * b1;
  }
  out[column] = s00;
  out[column + 1] = s01;
  out[TILE + column] = s10;
  out[TILE + column + 1] = s11;
  out[2 * TILE + column] = s20;
  out[2 * TILE + column + 1] = s21;
  out[3 * TILE + column] = s30;
  out[3 * TILE + column + 1] = s31;
}

/**
 * Writes the products of `rows` rows of a with `columns` rows of b (at most TILE each) into out, TILE to
 * a row. Row r of a starts at i + r * stride, row c of b at j + c * stride.
 */
export function dotTile(
  a: Float64Array,
  i: number,
  rows: number,
  b: Float64Array,
  j: number,
  columns: number,
  stride: number,
  length: number,
  out: Float64Array,
): void {
  if (rows === TILE && columns === TILE) {
    fourByTwo(a, i, b, j, stride, length, out, 0);
    fourByTwo(a, i, b, j + 2 * stride, stride, length, out, 2);
    return;
  }
  for (let r = 0; r < rows; r++) {
    for (let c = 0; c < columns; c++) {
      out[r * TILE + c] = dot(a, i + r * stride, b, j + c * stride, length);
    }
  }
}

/** Products of the tile at work. */
const tile = new Float64Array(TILE * TILE);

/**
 * Rows of `width` numbers one under the other, and rows of zeros up to a multiple of the tile.
 *
 * @returns row-major, 4 rows or a multiple
 */
export function stackRows(rows: readonly Float64Array[], width: number): Float64Array {
  const out = new Float64Array(Math.ceil(rows.length / TILE) * TILE * width);
  rows.forEach((row, r) => {
    out.set(row, r * width);
  });
  return out;
}

/**
 * Products of the first `count` rows of a block with each row of a stack, `rows` to a row of the result.
 *
 * @param block - row-major, with room for `count` rows rounded up to a multiple of 4
 * @param stacked - as {@link stackRows} makes it
 * @param out - as many rows as the block, of as many numbers as the stack has rows; overwritten
 */
export function multiplyRows(
  block: Float64Array,
  count: number,
  stacked: Float64Array,
  width: number,
  out: Float64Array,
): void {
  const rows = stacked.length / width;
  for (let b = 0; b < count; b += TILE) {
    for (let r = 0; r < rows; r += TILE) {
      dotTile(block, b * width, TILE, stacked, r * width, TILE, width, width, tile);
      for (let i = 0; i < TILE; i++) {
        for (let j = 0; j < TILE; j++) out[(b + i) * rows + r + j] = tile[i * TILE + j]!;
      }
    }
  }
}

/**
 * Adds to out[b] the squared length of L^-1 r for each row r of the block: what fixed terms take off a variance.
 *
 * @param block - row-major, with room for `count` rows rounded up to a multiple of 4
 * @param inverse - rows of L^-1 as {@link stackRows} makes it; not to be changed afterwards, since it is kept for the next
 *   block
 * @param out - one number per row of the block
 */
export function addSquaredLengths(
  block: Float64Array,
  count: number,
  inverse: Float64Array,
  width: number,
  out: Float64Array,
): void {
  if (addSquaredLengthsByPairs({ block, count, inverse, width, sums: out })) return;
  for (let r = 0; r < width; r += TILE) {
    const length = Math.min(width, r + TILE);
    for (let b = 0; b < count; b += TILE) {
      dotTile(block, b * width, TILE, inverse, r * width, TILE, width, length, tile);
      for (let i = 0; i < TILE; i++) {
        const t = i * TILE;
        out[b + i]! += tile[t]! ** 2 + tile[t + 1]! ** 2 + tile[t + 2]! ** 2 + tile[t + 3]! ** 2;
      }
    }
  }
}
