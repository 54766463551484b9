import { checkStudy } from "../../lib/models/index.js";
import { pennedStudies, tallySlips } from "../support/pen-slips.js";

/** Slips of the pen in studies of 24 beads, one coupon in ten: how many the check names, and how many sound coupons. */
export function benchPenSlips(count = 60): void {
  for (const kind of ["drawn", "tests", "odd law"] as const) {
    const { sound, soundNamed, slips, slipsNamed } = tallySlips(pennedStudies(kind, count, 2024), (study) => {
      const { values } = checkStudy(study).slips;
      return new Set(values.map(({ coupon }) => coupon));
    });
    const share = (part: number, all: number): string => `${((100 * part) / all).toFixed(1)} %`;
    console.log(
      `  ${kind}: of ${slips} slips beyond 4 sd ${share(slipsNamed, slips)} named; of ${sound} sound coupons ${share(soundNamed, sound)} named`,
    );
  }
}
