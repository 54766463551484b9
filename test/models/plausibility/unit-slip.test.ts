import { describe, expect, test } from "vitest";
import { checkStudy, unitHypotheses } from "../../../lib/models/index.js";
import { randomStream } from "../../../lib/numeric/index.js";
import { type Coupon, measuredOf, parseStudyDefinition } from "../../../lib/study/index.js";
import { convert } from "../../../lib/units/index.js";
import { developmentRigs } from "../../rigs/index.js";
import { coupon, shows } from "../../support/studies.js";
import {
  type Beads,
  beadsOf,
  drawnBeads,
  drawnFrom,
  type SlippedStudy,
  slippedStudies,
  withoutFactor,
} from "../../support/unit-slips.js";

/** Whether the slip is named, and whether its column and unit come first. */
function named({ definition, coupons, column, meant }: SlippedStudy): {
  readonly caught: boolean;
  readonly right: boolean;
} {
  const slips = checkStudy({ definition, coupons }).findings.filter(({ code }) => code === "unit-slip");
  const [first] = unitHypotheses({ definition, coupons });
  const right = first?.quantity === column && first.likely === meant;
  return { caught: slips.length > 0, right: slips.length > 0 && right };
}

const share = <T>(all: readonly T[], is: (one: T) => boolean): number => all.filter(is).length / all.length;

/** Beads of rigs that no constant here was drawn from. */
const studies = [3, 4, 5, 6, 7, 8].flatMap((seed) => {
  const beads = drawnBeads(randomStream(90210).split(seed), 14);
  return beads.coupons.length < 8 ? [] : [beads, withoutFactor(beads, "wire_feed_speed")];
});

describe("a column in a wrong unit", () => {
  test.each(["own", "drawn"] as const)(
    "is caught in 95 of 100 and named first in 85 of 100, with ranges %s, wire feed or not",
    (ranges) => {
      const results = studies.flatMap((beads) => slippedStudies(beads, ranges)).map(named);
      expect(results.length).toBeGreaterThan(60);
      expect(share(results, ({ caught }) => caught)).toBeGreaterThanOrEqual(0.95);
      expect(share(results, ({ right }) => right)).toBeGreaterThanOrEqual(0.85);
    },
  );

  test("is never suspected where all units are right", () => {
    for (const beads of [...studies, ...developmentRigs.map((rig) => beadsOf(rig, randomStream(11), 16))]) {
      for (const definition of [beads.definition, drawnFrom(beads.definition, beads.coupons)]) {
        const { findings } = checkStudy({ definition, coupons: beads.coupons });
        expect(findings.filter(({ code }) => code === "unit-slip")).toEqual([]);
      }
    }
  });

  test("is one finding, not one for each value", () => {
    const [beads] = studies;
    const slip = slippedStudies(beads!, "drawn").find(
      ({ column, labelled }) => column === "travel_speed" && labelled === "m/min",
    )!;
    const errors = checkStudy(slip).findings.filter(({ severity }) => severity === "error");
    expect(errors).toHaveLength(1);
    expect(errors[0]!.message).toMatch(
      /^travel_speed is stated in m\/min but looks like mm\/min on all coupons/,
    );
    expect(errors[0]!.message).toMatch(/odds over 1000 to 1/);
  });
});

/** GMAW beads on plate of which only current, voltage and torch angle were logged; invented, in usual ranges. */
const plain = parseStudyDefinition({
  schema: "beadbench/study/1",
  name: "no feed, no travel",
  process: "135",
  wire: { classification: "ER70S-6", diameter: "1.2 mm" },
  factors: [
    { name: "current", unit: "A", low: 140, high: 240 },
    { name: "arc_voltage", unit: "V", low: 19, high: 27 },
    { name: "torch_angle", unit: "deg", low: 70, high: 110 },
  ],
  responses: [
    { name: "bead_width", unit: "mm" },
    { name: "bead_height", unit: "mm" },
    { name: "penetration", unit: "mm" },
    { name: "dilution", unit: "%" },
  ],
});

function plainBeads(
  change: (row: Record<string, number>) => Record<string, number> = (row) => row,
): readonly Coupon[] {
  const rng = randomStream(31);
  return Array.from({ length: 16 }, (_, i) => {
    const [current, angle] = [140 + 100 * rng.uniform(), 70 + 40 * rng.uniform()];
    const [width, height] = [4 + current / 40 + 0.2 * rng.normal(), 2.4 + 0.1 * rng.normal()];
    const penetration = current / 100 + 0.1 * rng.normal();
    const dilution = (100 * 0.6 * penetration) / (0.6 * penetration + 0.69 * height);
    const row = change({
      current,
      arc_voltage: 13 + current / 18,
      torch_angle: angle,
      bead_width: width,
      bead_height: height,
      penetration,
      dilution,
    });
    const of = (names: readonly { readonly name: string }[]) =>
      Object.fromEntries(names.map(({ name }) => [name, row[name]!]));
    return coupon(`P${i}`, { settings: of(plain.factors), measured: of(plain.responses) });
  });
}

describe("a study of current, voltage and torch angle alone", () => {
  const slipOf = (coupons: readonly Coupon[]): string | undefined =>
    checkStudy({ definition: drawnFrom(plain, coupons), coupons }).findings.find(
      ({ code }) => code === "unit-slip",
    )?.message;

  test("passes when its units are right", () => expect(slipOf(plainBeads())).toBeUndefined());

  test.each([
    ["bead_width", "in", "mm"],
    ["bead_height", "cm", "mm"],
    ["penetration", "in", "mm"],
    ["torch_angle", "rad", "deg"],
    ["dilution", "1", "%"],
  ] as const)("%s labelled %s", (column, labelled, meant) => {
    const study = [...plain.factors, ...plain.responses].find(({ name }) => name === column)!.unit;
    const slipped = plainBeads((row) => ({ ...row, [column]: convert(row[column]!, labelled, study) })).map(
      (bead) => ({ ...bead, statedUnits: { [column]: labelled } }),
    );
    expect(slipOf(slipped)).toContain(`${column} is stated in ${labelled}`);
    expect(slipOf(slipped)).toContain(`looks like ${meant}`);
  });

  test("a current ten times too high", () => {
    expect(slipOf(plainBeads((row) => ({ ...row, current: 10 * row.current! })))).toContain(
      "current looks ten times too high",
    );
  });
});

/** Beads whose sizes named were read off a gauge set to inches and written under mm. */
const inInches = ({ coupons, ...beads }: Beads, names: readonly string[]): Beads => ({
  ...beads,
  coupons: coupons.map((one) => {
    const sizes = names.flatMap((name) => {
      const size = measuredOf(one, name);
      return size === undefined ? [] : [[name, convert(size, "mm", "in")] as const];
    });
    return shows(one, { measured: Object.fromEntries(sizes) });
  }),
});

describe("sizes of a bead read in inches", () => {
  const beadRigs = developmentRigs
    .map((rig) => beadsOf(rig, randomStream(31), 8))
    .filter(({ coupons }) => measuredOf(coupons[0]!, "bead_height") !== undefined);
  const told = ({ definition, coupons }: Beads) =>
    checkStudy({ definition, coupons }).findings.filter(({ code }) => code === "unit-slip");

  test.each(beadRigs)("$name: heights beside widths in mm are refused by their name", (beads) => {
    const [finding] = told(inInches(beads, ["bead_height"]));
    expect(finding?.severity).toBe("error");
    expect(finding?.message).toContain("bead_height is stated in mm but looks like in on all coupons");
  });

  test.each(beadRigs)(
    "$name: heights and widths at once are refused, and nothing is said where both are right",
    (beads) => {
      expect(told(inInches(beads, ["bead_width", "bead_height"]))[0]?.severity).toBe("error");
      expect(told(beads)).toEqual([]);
    },
  );
});
