/** Products of small square matrices held row by row, for loops that must not allocate. */

/** matrix += weight * g g', both triangles, g starting at `from`. */
export function addOuter(
  matrix: Float64Array,
  p: number,
  g: Float64Array,
  from: number,
  weight: number,
): void {
  for (let i = 0; i < p; i++) {
    const gi = weight * g[from + i]!;
    for (let j = 0; j < p; j++) matrix[i * p + j]! += gi * g[from + j]!;
  }
}

/** matrix += u d' + d u'. */
export function addSymmetricPair(matrix: Float64Array, p: number, u: Float64Array, d: Float64Array): void {
  for (let i = 0; i < p; i++) {
    for (let j = 0; j < p; j++) matrix[i * p + j]! += u[i]! * d[j]! + d[i]! * u[j]!;
  }
}

/** g' S g for a symmetric S, from its lower triangle. */
export function quadraticForm(s: Float64Array, p: number, g: Float64Array): number {
  let sum = 0;
  for (let i = 0; i < p; i++) {
    const row = i * p;
    let inner = 0;
    for (let j = 0; j < i; j++) inner += s[row + j]! * g[j]!;
    const gi = g[i]!;
    sum += gi * (2 * inner + s[row + i]! * gi);
  }
  return sum;
}

/** g' S g when g is zero but for the first `count` of `places`, which ascend. */
export function sparseQuadraticForm(
  s: Float64Array,
  p: number,
  g: Float64Array,
  places: Int32Array,
  count: number,
): number {
  let sum = 0;
  for (let a = 0; a < count; a++) {
    const i = places[a]!;
    const row = i * p;
    let inner = 0;
    for (let b = 0; b < a; b++) inner += s[row + places[b]!]! * g[places[b]!]!;
    sum += g[i]! * (2 * inner + s[row + i]! * g[i]!);
  }
  return sum;
}

/** a' g when g is zero but for the first `count` of `places`. */
export function sparseDot(a: Float64Array, g: Float64Array, places: Int32Array, count: number): number {
  let sum = 0;
  for (let k = 0; k < count; k++) sum += a[places[k]!]! * g[places[k]!]!;
  return sum;
}

/** out = S g. */
export function multiply(s: Float64Array, p: number, g: Float64Array, out: Float64Array): void {
  for (let i = 0; i < p; i++) {
    let sum = 0;
    for (let j = 0; j < p; j++) sum += s[i * p + j]! * g[j]!;
    out[i] = sum;
  }
}

/** Sum of products of the first `count` entries. */
export function dot(a: Float64Array, b: Float64Array, count: number): number {
  let sum = 0;
  for (let i = 0; i < count; i++) sum += a[i]! * b[i]!;
  return sum;
}

/** out = S W S for symmetric S and W; `work` receives S W. */
export function sandwich(
  s: Float64Array,
  w: Float64Array,
  p: number,
  work: Float64Array,
  out: Float64Array,
): void {
  product(s, w, p, work);
  product(work, s, p, out);
}

function product(a: Float64Array, b: Float64Array, p: number, out: Float64Array): void {
  out.fill(0);
  for (let i = 0; i < p; i++) {
    for (let k = 0; k < p; k++) {
      const aik = a[i * p + k]!;
      for (let j = 0; j < p; j++) out[i * p + j]! += aik * b[k * p + j]!;
    }
  }
}
