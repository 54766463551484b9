import { requireCount } from "../../errors/index.js";
import type { CodedRun } from "../runs/index.js";
import { fractionalFactorial } from "./fractional.js";
import { twoLevelFactorial } from "./two-level.js";

/** Where the axial points lie: on the faces, rotatable, or so that blocks are orthogonal. */
export type AxialDistance = "face" | "rotatable" | "orthogonal-blocks";

/** Options of {@link centralComposite}, each with its default. */
export interface CentralCompositeOptions {
  /** Default "face": every setting is low, middle or high. */
  readonly axial?: AxialDistance;
  /** Centre coupons with the factorial part. Default 3. */
  readonly factorialCentres?: number;
  /** Centre coupons with the axial part; default 0, or for "orthogonal-blocks" 2. */
  readonly axialCentres?: number;
  /** Half or quarter factorial part of resolution V from 5 factors on. Default true. */
  readonly fraction?: boolean;
}

/**
 * Central composite plan: corners, two axial points per factor, centre coupons.
 *
 *     face: alpha = 1     rotatable: alpha = F^(1/4)
 *     orthogonal blocks: alpha = sqrt(F (2k + n_a0) / (2 (F + n_f0)))
 *
 * with F corners, n_f0 and n_a0 centre coupons in the factorial and the axial block. Block 1 holds the
 * corners and their centres, block 2 the axial points and theirs; offsets between the two blocks leave the
 * second-order model untouched only with "orthogonal-blocks". Axial points lie outside -1 to +1 when
 * alpha > 1; {@link planCoupons} shrinks the whole plan into the factor ranges.
 *
 * @param factors - k, 2 to 8
 * @throws {BeadbenchError} `bad-argument` for k outside 2 to 8
 * @source Box and Hunter, Annals of Mathematical Statistics 28 (1957) 195-241; NIST/SEMATECH e-Handbook 5.3.3.6.1
 */
export function centralComposite(
  factors: number,
  options: CentralCompositeOptions = {},
): { readonly alpha: number; readonly runs: readonly CodedRun[] } {
  requireCount("number of factors", factors, { min: 2, max: 8 });
  const { axial = "face", factorialCentres = 3, fraction = true } = options;
  const axialCentres = options.axialCentres ?? (axial === "orthogonal-blocks" ? 2 : 0);
  const generators = fraction ? resolutionFive[factors] : undefined;
  const corners =
    generators === undefined ? twoLevelFactorial(factors) : fractionalFactorial(factors, generators).rows;
  const alpha =
    axial === "face"
      ? 1
      : axial === "rotatable"
        ? corners.length ** 0.25
        : Math.sqrt(
            (corners.length * (2 * factors + axialCentres)) / (2 * (corners.length + factorialCentres)),
          );
  const zeros = Array.from({ length: factors }, () => 0);
  const centres = (count: number, block: number): CodedRun[] =>
    Array.from({ length: count }, () => ({ role: "centre", coded: zeros, block }));
  const stars = zeros.flatMap((_, j): CodedRun[] =>
    [-alpha, alpha].map((x) => ({
      role: "axial",
      coded: zeros.map((zero, i) => (i === j ? x : zero)),
      block: 2,
    })),
  );
  return {
    alpha,
    runs: [
      ...corners.map((coded): CodedRun => ({ role: "factorial", coded, block: 1 })),
      ...centres(factorialCentres, 1),
      ...stars,
      ...centres(axialCentres, 2),
    ],
  };
}

/** Generators that keep every two-factor effect clear (Box, Hunter and Hunter 1978, table 12.15). */
const resolutionFive: Readonly<Record<number, readonly string[]>> = {
  5: ["E=ABCD"],
  6: ["F=ABCDE"],
  7: ["G=ABCDEF"],
  8: ["G=ABCD", "H=ABEF"],
};
