import { describe, expect, test } from "vitest";
import {
  buildOutcomeModel,
  checkStudy,
  fitStudy,
  makePredictor,
  measuredSize,
  sectionKindOf,
  sizePairs,
  unitHypotheses,
} from "../../../lib/models/index.js";
import type { Coupon } from "../../../lib/study/index.js";
import { expectDigits } from "../../support/digits.js";
import { coupon, results, shows, simulatedBeads, sizeOf, tigDefinition } from "../../support/studies.js";

const beads = simulatedBeads(11, 18, 0.04);

/** The study with its width and height called otherwise. */
function renamed(width: string, height: string, coupons: readonly Coupon[] = beads) {
  const definition = tigDefinition({
    responses: [
      { name: width, unit: "mm", kind: "measured", spec: { lower: 5, upper: 7 }, scale: "log" },
      { name: height, unit: "mm", kind: "measured", spec: { lower: 1.5, upper: 2.5 }, scale: "log" },
    ],
  });
  return {
    definition,
    coupons: coupons.map((bead) => ({
      ...bead,
      results: results({
        measured: { [width]: sizeOf(bead, "bead_width"), [height]: sizeOf(bead, "bead_height") },
      }),
    })),
  };
}

/** A result whose words for width and height are W and H, so that results of two studies can be held against each other. */
function spelled(result: unknown): unknown {
  return JSON.parse(JSON.stringify(result), (_, value: unknown) =>
    typeof value === "string"
      ? value
          .replaceAll(/\b(bead_width|width)\b/g, "W")
          .replaceAll(/\b(bead_height|reinforcement|height)\b/g, "H")
      : value,
  );
}

const names = [
  ["bead_width", "bead_height"],
  ["width", "height"],
  ["bead_width", "reinforcement"],
] as const;

describe("every consumer takes a size by its meaning, not by one spelling", () => {
  const reference = renamed("bead_width", "bead_height");
  const setting = { current: 150, travel_speed: 190, wire_feed_speed: 1.2 };

  test.each(names)("%s and %s: check, fit and window answer with the same numbers", (width, height) => {
    const study = renamed(width, height);
    const same = (of: (s: typeof study) => unknown): void =>
      expect(spelled(of(study))).toEqual(spelled(of(reference)));
    expect(checkStudy(study).massBalances).toHaveLength(beads.length);
    same((s) => checkStudy(s).massBalances);
    const fit = fitStudy(study);
    expect(fit.constrained).toHaveLength(1);
    same((s) => fitStudy(s));
    same((s) => {
      const predictor = makePredictor(buildOutcomeModel(s));
      const means = new Float64Array(2);
      predictor.at(predictor.point(setting)).means(means);
      return [...means];
    });
  });

  test.each(names)("%s and %s: a height in the wrong unit is suspected by its own name", (width, height) => {
    const inCentimetres = beads.map((bead) =>
      shows(bead, { measured: { bead_height: sizeOf(bead, "bead_height") / 10 } }),
    );
    const study = renamed(width, height, inCentimetres);
    const [likeliest] = unitHypotheses(study);
    expect(likeliest).toMatchObject({ quantity: height, stated: "mm", likely: "cm" });
    expect(likeliest!.chance).toBeGreaterThan(0.5);
  });

  test.each(["width", "wall_width", "section_area", "reinforcement", "effective_wall_width"])(
    "%s of 0 or below is no measurement in fit nor in the outcome model",
    (name) => {
      const unit = name === "section_area" ? "mm2" : "mm";
      const definition = tigDefinition({ responses: [{ name, unit, kind: "measured" }] });
      const coupons = beads.map((bead, i) => ({
        ...bead,
        results: results({ measured: { [name]: i === 4 ? 0 : sizeOf(bead, "bead_width") } }),
      }));
      const codes = fitStudy({ definition, coupons }).findings.map(({ code }) => code);
      expect(codes).toContain("not-positive");
      expect(buildOutcomeModel({ definition, coupons }).findings.map(({ code }) => code)).toContain(
        "impossible-readings",
      );
    },
  );

  test("a fullness is worked out whatever the area, width and height are called", () => {
    const definition = tigDefinition({
      responses: [
        { name: "width", unit: "mm", kind: "measured" },
        { name: "height", unit: "cm", kind: "measured" },
        { name: "section_area", unit: "mm2", kind: "measured" },
      ],
    });
    const coupons = beads.map((bead, i) => {
      const [w, h] = [sizeOf(bead, "bead_width"), sizeOf(bead, "bead_height")];
      return {
        ...bead,
        results: results({
          measured: { width: w, height: h / 10, section_area: (0.6 + 0.01 * (i % 5)) * w * h },
        }),
      };
    });
    const fullness = fitStudy({ definition, coupons }).responses.find(
      ({ response }) => response === "fullness",
    )!;
    const [first] = fullness.forms[0]!.coupons;
    expectDigits(first!.measured, 0.6, 13);
  });
});

describe("measuredSize", () => {
  test("is known by name and dimension, toe angles with a side too", () => {
    expect(measuredSize({ name: "reinforcement", unit: "in" })?.role).toBe("height");
    expect(measuredSize({ name: "left_toe_angle", unit: "rad" })?.role).toBe("toe-angle");
    expect(measuredSize({ name: "width", unit: "A" })).toBeUndefined();
    expect(measuredSize({ name: "hardness", unit: "1" })).toBeUndefined();
    expect(measuredSize({ name: "toString", unit: "mm" })).toBeUndefined();
    expect(measuredSize({ name: "penetration", unit: "mm" })?.positive).toBe(false);
  });
});

describe("sizePairs", () => {
  const pairs = (...responses: string[]) =>
    sizePairs(
      tigDefinition({ responses: responses.map((name) => ({ name, unit: "mm", kind: "measured" })) }),
    ).map(({ width, height, of }) => [width.name, height.name, of]);

  test("ties sizes of one thing first, and words said of both to what is left", () => {
    expect(pairs("layer_height", "bead_height", "bead_width", "total_wall_width")).toEqual([
      ["bead_width", "bead_height", "bead"],
      ["total_wall_width", "layer_height", "wall"],
    ]);
    expect(pairs("width", "layer_height")).toEqual([["width", "layer_height", "wall"]]);
    expect(pairs("wall_width", "height", "width")).toEqual([["width", "height", undefined]]);
    expect(pairs("bead_width", "layer_height")).toEqual([]);
  });
});

describe("sectionKindOf", () => {
  const on = (layer: number | undefined) =>
    coupon("C", layer === undefined ? {} : { context: { layer: { value: layer, unit: "1" } } });

  test("goes by the layer a coupon names, else by what its sizes are called", () => {
    expect(sectionKindOf("bead", on(undefined))).toBe("bead");
    expect(sectionKindOf(undefined, on(1))).toBe("bead");
    expect(sectionKindOf("bead", on(2))).toBe("first-layer");
    expect(sectionKindOf("wall", on(1))).toBe("first-layer");
    expect(sectionKindOf("wall", on(undefined))).toBe("wall");
    expect(sectionKindOf("bead", on(4))).toBe("wall");
  });

  test("decides by which fullness a mass balance is judged", () => {
    // A wall of fullness 0.97 is sound; a bead on plate of 0.97 has more metal than a half ellipse (pi / 4) can hold.
    const fed = 0.99 * Math.PI * 0.6 ** 2 * (20 / 3);
    const settings = { current: 150, travel_speed: 180, wire_feed_speed: 1.2 };
    const plausible = (width: string, height: string): boolean =>
      checkStudy({
        definition: tigDefinition({
          responses: [width, height].map((name) => ({ name, unit: "mm", kind: "measured" })),
        }),
        coupons: [coupon("C", { settings, measured: { [width]: 5, [height]: fed / (0.97 * 5) } })],
      }).massBalances[0]!.plausible;
    expect(plausible("bead_width", "bead_height")).toBe(false);
    expect(plausible("wall_width", "layer_height")).toBe(true);
  });
});
