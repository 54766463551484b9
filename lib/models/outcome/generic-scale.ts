import { mean, standardDeviation } from "../../numeric/index.js";
import type { Response } from "../../study/index.js";

/** Where a response without physics behind it is expected to lie. */
export interface GenericScale {
  readonly log: boolean;
  /** Middle of what is expected: of the logarithm when `log`. */
  readonly origin: number;
  /** Units of the response (of its logarithm: 1) per unit of the hidden quantity. */
  readonly scale: number;
}

/**
 * Places a response by its specification, which somebody thought could be met, else by what was measured.
 * A response is taken as a logarithm when the study says so and everything known of it is positive.
 */
export function genericScale(response: Response, values: readonly number[]): GenericScale {
  const { lower, target, upper } = response.spec ?? {};
  const bounds = [lower, target, upper].filter((value): value is number => value !== undefined);
  const middle =
    target ??
    (lower !== undefined && upper !== undefined ? 0.5 * (lower + upper) : (lower ?? upper)) ??
    (values.length > 0 ? mean(values) : 1);
  if (response.scale === "log" && middle > 0 && [...bounds, ...values].every((value) => value > 0)) {
    return { log: true, origin: Math.log(middle), scale: 1 };
  }
  const candidates = [
    lower !== undefined && upper !== undefined ? 0.5 * (upper - lower) : 0,
    values.length > 2 ? 0.5 * standardDeviation(values) : 0,
    0.1 * Math.abs(middle),
  ];
  return { log: false, origin: middle, scale: candidates.find((value) => value > 0) ?? 1 };
}
