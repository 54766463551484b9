/** Tuning constants of 95 % efficiency for normal errors. */
export const ROBUST_TUNING = { huber: 1.345, bisquare: 4.685 } as const;

/** An influence function, as its weight and its slope at a scaled residual. */
export interface Psi {
  /** psi(u) / u. */
  weight(u: number): number;
  slope(u: number): number;
}

/** Huber's or Tukey's influence function with tuning constant c. */
export function psiOf(kind: "huber" | "bisquare", c: number): Psi {
  if (kind === "huber") {
    return {
      weight: (u) => Math.min(1, c / Math.abs(u)),
      slope: (u) => (Math.abs(u) <= c ? 1 : 0),
    };
  }
  return {
    weight: (u) => Math.max(0, 1 - (u / c) ** 2) ** 2,
    slope: (u) => {
      const t = (u / c) ** 2;
      return t < 1 ? (1 - t) * (1 - 5 * t) : 0;
    },
  };
}
