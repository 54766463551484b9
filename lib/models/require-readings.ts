import { BeadbenchError } from "../errors/index.js";

/**
 * Refuses fewer readings than a fit can take.
 *
 * @param what - what is fitted, such as "a melt-back line"
 * @throws {BeadbenchError} `not-enough-data` saying how many are needed
 */
export function requireReadings(what: string, count: number, least: number): void {
  if (count >= least) return;
  throw new BeadbenchError(
    "not-enough-data",
    `${what} takes at least ${least} readings, got ${count}: log more`,
  );
}
