import type { StudyDefinition } from "../../study/index.js";
import { measuredSize, responsesOf } from "../physical/index.js";
import type { SectionFit } from "./fit-section.js";

/** What sections of one bead say of a study's responses, as a coupon is logged with it: one reading per section. */
export interface SectionReadings {
  readonly readings: Readonly<Record<string, readonly number[]>>;
  readonly units: Readonly<Record<string, string>>;
}

/**
 * Width, height, area and toe angles of sections under the names by which a study measures them; `left` or `right` in the name of a
 * toe angle means that side, without one it is the mean of both. What the study does not measure is left out.
 */
export function sectionReadings(
  { responses }: StudyDefinition,
  fits: readonly SectionFit[],
): SectionReadings {
  const first = (["width", "height", "area"] as const).flatMap((role) => {
    const [response] = responsesOf(responses, role);
    return response === undefined
      ? []
      : [
          {
            name: response.name,
            unit: role === "area" ? "mm2" : "mm",
            of: (fit: SectionFit) => fit[role].estimate,
          },
        ];
  });
  const toes = responses
    .filter((response) => response.kind === "measured" && measuredSize(response)?.role === "toe-angle")
    .map(({ name }) => ({ name, unit: "deg", of: (fit: SectionFit) => toeAngle(name, fit) }));
  const all = [...first, ...toes];
  return {
    readings: Object.fromEntries(all.map(({ name, of }) => [name, fits.map(of)])),
    units: Object.fromEntries(all.map(({ name, unit }) => [name, unit])),
  };
}

function toeAngle(name: string, { toeAngles: { left, right } }: SectionFit): number {
  if (/(^|_)left(_|$)/.test(name)) return left.estimate;
  if (/(^|_)right(_|$)/.test(name)) return right.estimate;
  return (left.estimate + right.estimate) / 2;
}
