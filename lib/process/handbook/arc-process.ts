import { BeadbenchError } from "../../errors/index.js";

/** Families of arc process whose physics differ here. */
export type ArcProcess = "tig" | "plasma" | "mig-mag" | "flux-cored" | "manual-metal-arc" | "submerged-arc";

/** First digits of the ISO 4063 number, longest match first. */
const numbers: readonly (readonly [prefix: string, process: ArcProcess])[] = [
  ["111", "manual-metal-arc"],
  ["114", "flux-cored"],
  ["12", "submerged-arc"],
  ["132", "flux-cored"],
  ["136", "flux-cored"],
  ["13", "mig-mag"],
  ["14", "tig"],
  ["15", "plasma"],
];

/**
 * The family of an ISO 4063 process number.
 *
 * @throws {BeadbenchError} `bad-argument` for a number that is no arc process known here
 * @source ISO 4063 numbers (141 TIG with solid wire, 131 MIG, 135 MAG, 15 plasma), from memory
 * @example arcProcessOf("141") // => "tig"
 */
export function arcProcessOf(number: string): ArcProcess {
  const found = numbers.find(([prefix]) => number.trim().startsWith(prefix));
  if (found === undefined) {
    throw new BeadbenchError(
      "bad-argument",
      `process "${number}" is not an arc process known here; give its ISO 4063 number: 141 TIG, 131 MIG, 135 MAG, 136 flux-cored, 15 plasma`,
    );
  }
  return found[1];
}
