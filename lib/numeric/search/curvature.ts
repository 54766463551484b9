import { choleskyInPlace, choleskySolve, innerProduct } from "../matrices/index.js";

/** Pairs of steps and gradient changes kept for the curvature. */
const MEMORY = 10;

/**
 * What is known of the second derivatives: the last MEMORY steps s and gradient changes y, on top of a first
 * guess or of a multiple of the identity; applied as an inverse Hessian on the free variables.
 */
export class Curvature {
  private readonly steps: Float64Array[] = [];
  private readonly changes: Float64Array[] = [];
  private readonly alphas = new Float64Array(MEMORY);
  private readonly factor: Float64Array;

  /** @param guess - positive definite Hessian, row by row; undefined for a multiple of the identity */
  constructor(
    private readonly size: number,
    private guess: Float64Array | undefined,
  ) {
    this.factor = new Float64Array(guess === undefined ? 0 : size * size);
  }

  add(step: Float64Array, change: Float64Array): void {
    const curvature = innerProduct(step, change);
    if (!(curvature > 1e-12 * innerProduct(change, change))) return;
    if (this.steps.length === MEMORY) {
      this.steps.shift();
      this.changes.shift();
    }
    this.steps.push(step.slice());
    this.changes.push(change.slice());
  }

  clear(): void {
    this.steps.length = 0;
    this.changes.length = 0;
    this.guess = undefined;
  }

  get empty(): boolean {
    return this.steps.length === 0 && this.guess === undefined;
  }

  /** Solves guess v = v on the free variables; false without a usable guess. */
  private solveGuess(v: Float64Array, free: Uint8Array): boolean {
    const { guess, factor, size } = this;
    if (guess === undefined) return false;
    for (let i = 0; i < size; i++) {
      for (let j = 0; j <= i; j++) {
        const k = i * size + j;
        factor[k] = free[i] && free[j] ? guess[k]! : i === j ? 1 : 0;
      }
    }
    if (!choleskyInPlace(factor, size)) return false;
    choleskySolve(factor, size, v);
    return true;
  }

  /** Overwrites v, zero on the fixed variables, with H v: the two-loop recursion. */
  apply(v: Float64Array, free: Uint8Array): void {
    const masked = (a: Float64Array, b: Float64Array): number => {
      let sum = 0;
      for (let i = 0; i < a.length; i++) if (free[i]) sum += a[i]! * b[i]!;
      return sum;
    };
    let scale = 1;
    let scaled = false;
    for (let k = this.steps.length - 1; k >= 0; k--) {
      const s = this.steps[k]!;
      const y = this.changes[k]!;
      const curvature = masked(s, y);
      this.alphas[k] = curvature > 0 ? masked(s, v) / curvature : 0;
      for (let i = 0; i < v.length; i++) if (free[i]) v[i]! -= this.alphas[k]! * y[i]!;
      if (!scaled && curvature > 0) {
        scale = curvature / masked(y, y);
        scaled = true;
      }
    }
    if (!this.solveGuess(v, free)) for (let i = 0; i < v.length; i++) v[i]! *= scale;
    for (let k = 0; k < this.steps.length; k++) {
      const s = this.steps[k]!;
      const y = this.changes[k]!;
      const curvature = masked(s, y);
      if (!(curvature > 0)) continue;
      const beta = masked(y, v) / curvature;
      for (let i = 0; i < v.length; i++) if (free[i]) v[i]! += (this.alphas[k]! - beta) * s[i]!;
    }
  }
}
