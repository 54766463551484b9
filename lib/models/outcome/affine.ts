/** A function that is a constant plus a slope along each axis. */
export interface Affine {
  readonly constant: number;
  readonly slopes: readonly number[];
}

/** The sum of multiples of affine functions, plus a constant. */
export function combine(terms: readonly (readonly [number, Affine])[], constant = 0): Affine {
  const length = terms[0]?.[1].slopes.length ?? 0;
  const slopes = new Array<number>(length).fill(0);
  let sum = constant;
  for (const [factor, { constant: own, slopes: slope }] of terms) {
    sum += factor * own;
    for (let j = 0; j < length; j++) slopes[j]! += factor * slope[j]!;
  }
  return { constant: sum, slopes };
}

/** Value at a point. */
export function affineAt(affine: Affine, point: Float64Array): number {
  let value = affine.constant;
  for (let j = 0; j < affine.slopes.length; j++) value += affine.slopes[j]! * point[j]!;
  return value;
}
