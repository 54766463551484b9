import { type Meant, UNRULED } from "./typed-slips.js";

/** What is foreseen of a value: the middle of its logarithm, and how far single values stray from it. */
export interface Foreseen {
  readonly mean: number;
  readonly sd: number;
}

/** A value as logarithm, and what may have been meant by it. */
interface TypedValue {
  readonly y: number;
  /** Empty for a value that nobody typed, such as a mean. */
  readonly meant: readonly Meant[];
}

/** How likely a value is a slip. */
export interface SlipChance {
  readonly chance: number;
  /** Logarithm of the density of such a slip. */
  readonly slip: number;
  /** What was meant, where one guess stands out. */
  readonly meant: Meant | undefined;
}

/** Share of typed values that are slips, before any evidence. Common practice, no source. */
const SLIP_RATE = 0.03;
/** Its logarithm of odds. */
export const SLIP_LOG_ODDS = Math.log(SLIP_RATE / (1 - SLIP_RATE));
/** A slip without a rule lies anywhere within this logarithm of what was meant. */
const REACH = Math.log(30);

/**
 * Logarithm of Student's density, as a function of z, for whole degrees of freedom: g(df) = Gamma((df + 1) / 2) /
 * Gamma(df / 2) by g(1) = 1 / sqrt(pi) and g(k) g(k + 1) = k / 2.
 */
function logT(df: number): (z: number) => number {
  let gammas = 1 / Math.sqrt(Math.PI);
  for (let k = 1; k < df; k++) gammas = k / (2 * gammas);
  const peak = Math.log(gammas) - Math.log(df * Math.PI) / 2;
  return (z) => peak - ((df + 1) / 2) * Math.log(1 + (z * z) / df);
}

/**
 * The chance that a value is a slip of the pen rather than a good one far out.
 *
 *     P = r s(y) / (r s(y) + (1 - r) t(y)),  s(y) = sum_k w_k t(meant_k) + w_0 / (2 ln 30)
 *
 * with t Student's density about what is foreseen, and `meant` what the typed digits may have been.
 *
 * @param df - degrees of freedom of the scatter, a whole number
 */
export function slipChance({ y, meant }: TypedValue, { mean, sd }: Foreseen, df: number): SlipChance {
  const logDensity = logT(df);
  const at = (value: number): number => Math.exp(logDensity((value - mean) / sd)) / sd;
  const parts = meant.map((one) => ({ one, density: one.weight * at(Math.log(one.value)) }));
  const ruled = parts.reduce((sum, { density }) => sum + density, 0);
  const share = meant.length === 0 ? 1 : UNRULED;
  const unruled = Math.abs(y - mean) > REACH ? 0 : share / (2 * REACH);
  const best = parts.reduce<(typeof parts)[number] | undefined>(
    (top, part) => (top === undefined || part.density > top.density ? part : top),
    undefined,
  );
  const all = Math.max(ruled + unruled, 1e-300);
  const slip = Math.log(all);
  const good = logDensity((y - mean) / sd) - Math.log(sd);
  const odds = Math.exp(Math.min(50, SLIP_LOG_ODDS + slip - good));
  return {
    chance: odds / (1 + odds),
    slip,
    meant: best !== undefined && best.density > 0.4 * all ? best.one : undefined,
  };
}
