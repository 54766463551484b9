import { describe, expect, test } from "vitest";
import {
  constrainedPairs,
  fitConstrained,
  fitStudy,
  predictBead,
  pureErrors,
  selectLayers,
} from "../../../lib/models/index.js";
import { randomStream } from "../../../lib/numeric/index.js";
import type { Coupon } from "../../../lib/study/index.js";
import { expectDigits } from "../../support/digits.js";
import { fc } from "../../support/properties.js";
import { coupon, type Shown, tigDefinition } from "../../support/studies.js";
import { byForm, drawSettings, type RigSettings, widthStudy } from "./support.js";

const at = (layer: number | undefined, parts: Partial<Coupon> & Shown = {}): Partial<Coupon> & Shown => ({
  ...parts,
  context: layer === undefined ? {} : { layer: { value: layer, unit: "1" } },
});

/** Beads whose width answers to current by 0.4 on the base, where they are narrow, and by 0.9 on the wall. */
function build(seed: number, first: number, wall: number): readonly Coupon[] {
  const noise = randomStream(seed).split("scatter");
  return drawSettings(seed, first + wall).map((settings, i) => {
    const onWall = i >= first;
    const law = (onWall ? 6.5 : 5) * (settings.current / 140) ** (onWall ? 0.9 : 0.4);
    const width = law * (settings.travel_speed / 180) ** -0.4 * Math.exp(0.03 * noise.normal());
    return coupon(
      `L${i + 1}`,
      at(onWall ? 4 + (i % 9) : 1 + (i % 3), { settings, measured: { bead_width: width } }),
    );
  });
}

const currentExponent = (coupons: readonly Coupon[], layers?: "first" | "wall") => {
  const fit = fitStudy({ definition: widthStudy, coupons }, layers === undefined ? {} : { layers });
  const law = fit.responses[0]!.forms.find(({ form }) => form === "power-law")!;
  if (law.form !== "power-law") throw new Error("no power law");
  return { fit, current: law.coefficients.find(({ term }) => term === "current")! };
};

describe("first layers and walls", () => {
  const coupons = build(4, 16, 22);

  test("each obeys its own law, where pooling is true of neither", () => {
    const studies = 20;
    let firstHeld = 0;
    let wallHeld = 0;
    let pooledBetween = 0;
    for (let seed = 1; seed <= studies; seed++) {
      const built = build(seed, 16, 22);
      const first = currentExponent(built, "first").current;
      const wall = currentExponent(built, "wall").current;
      if (first.lower < 0.4 && first.upper > 0.4) firstHeld++;
      if (wall.lower < 0.9 && wall.upper > 0.9) wallHeld++;
      const pooled = currentExponent(built.map((c) => ({ ...c, context: {} }))).current.estimate;
      if (pooled > first.upper && pooled < wall.lower) pooledBetween++;
    }
    // Of 20 intervals of 95 %, 14 or fewer hold the truth by chance once in 3000 times (binomial).
    expect(firstHeld).toBeGreaterThanOrEqual(15);
    expect(wallHeld).toBeGreaterThanOrEqual(15);
    expect(pooledBetween).toBeGreaterThan(studies / 2);
  });

  test("the larger set is taken, and what is set aside is said with the way to ask for it", () => {
    const { fit } = currentExponent(coupons);
    expect(fit.layers).toBe("wall");
    expect(fit.aside).toEqual(coupons.slice(0, 16).map(({ id }) => id));
    const said = fit.findings.find(({ code }) => code === "layers-kept-apart")!;
    expect(said.message).toMatch(/16 coupons on the base and layers 1 to 3 set aside/);
    expect(said.advice).toMatch(/--layers first/);
  });

  test("a study without layers is a set of beads on the base, all of them used", () => {
    const { layers, aside, findings } = selectLayers({ coupons: [coupon("A", {}), coupon("B", {})] });
    expect({ layers, aside, findings }).toEqual({ layers: "first", aside: [], findings: [] });
  });

  test("asking for layers that nobody measured is refused with the count of the others", () => {
    expect(() =>
      fitStudy({ definition: widthStudy, coupons: coupons.slice(0, 16) }, { layers: "wall" }),
    ).toThrow(/no coupon was logged on a wall; 16 were on other layers/);
  });

  test("a first layer and a wall at the same settings are no repeats: their difference is no scatter", () => {
    const settings = { current: 140, travel_speed: 180, wire_feed_speed: 1 };
    const bead = (id: string, layer: number, bead_width: number) =>
      coupon(id, at(layer, { settings, measured: { bead_width } }));
    const [pure] = pureErrors({
      coupons: [bead("A", 1, 5), bead("B", 2, 5.1), bead("C", 6, 7), bead("D", 7, 7.1)],
    });
    // Two pairs 0.1 apart: s^2 = sum d^2 / (2 n) = 0.005.
    expectDigits(pure!.sd, Math.sqrt(0.005), 12);
    expect(pure!.df).toBe(2);
  });

  test("selectLayers parts the logged coupons: none lost, none in both, odd layers in neither", () => {
    const layer = fc.option(fc.oneof(fc.integer({ min: 1, max: 9 }), fc.constantFrom(0, -2, 2.5)), {
      nil: undefined,
    });
    fc.assert(
      fc.property(fc.array(layer, { maxLength: 20 }), (layers) => {
        const all = layers.map((value, i) => coupon(`C${i}`, at(value)));
        const ids = (set: "first" | "wall") =>
          selectLayers({ coupons: all }, set).coupons.map(({ id }) => id);
        const odd = all.filter((_, i) => {
          const value = layers[i] ?? 1;
          return !Number.isInteger(value) || value < 1;
        });
        expect([...ids("first"), ...ids("wall"), ...odd.map(({ id }) => id)].sort()).toEqual(
          all.map(({ id }) => id).sort(),
        );
        for (const set of ["first", "wall"] as const) {
          const { coupons: taken, aside } = selectLayers({ coupons: all }, set);
          expect(taken.length + aside.length).toBe(all.length);
        }
      }),
    );
  });
});

describe("the constrained form of a wall", () => {
  const definition = tigDefinition({
    responses: [
      { name: "total_wall_width", unit: "mm", kind: "measured" },
      { name: "layer_height", unit: "mm", kind: "measured" },
    ],
  });
  /** ln of the fed area of 1.2 mm wire, 99 % deposited, m/min over mm/min. */
  const fed = (s: RigSettings): number => (0.99 * Math.PI * 0.36 * s.wire_feed_speed * 1000) / s.travel_speed;
  const walls = (fullness: number): readonly Coupon[] =>
    drawSettings(9, 18).map((settings, i) => {
      const noise = randomStream(9).split(`scatter ${i}`);
      const width = 6 * (settings.current / 140) ** 0.8 * (settings.travel_speed / 180) ** -0.6;
      return coupon(
        `W${i + 1}`,
        at(6, {
          settings,
          measured: {
            total_wall_width: width * Math.exp(0.02 * noise.normal()),
            layer_height: (fed(settings) / (fullness * width)) * Math.exp(0.02 * noise.normal()),
          },
        }),
      );
    });

  test("fullness is the mean width over the total one, and the fed area is conserved", () => {
    // Physics sheet, section 3: EWW 5.0, TWW 5.8, parabolic side lobes: mean width 5.5333, so 0.95402 of the total.
    const truth = 5.5333 / 5.8;
    const [pair] = constrainedPairs({ definition, coupons: walls(truth) });
    const joint = fitConstrained({ definition, coupons: walls(truth) }, pair!);
    expect(joint.fullness.lower).toBeLessThan(truth);
    expect(joint.fullness.upper).toBeGreaterThan(truth);
    expect(joint.findings.filter(({ code }) => code === "odd-fullness")).toEqual([]);
    const fit = fitStudy({ definition, coupons: walls(truth) });
    expect(fit.responses.map(({ chosen }) => chosen)).toEqual(["constrained", "constrained"]);
    const setting = { current: 150, travel_speed: 170, wire_feed_speed: 1.3 };
    const [width, height] = predictBead({ definition }, byForm(fit), [setting])[0]!;
    expectDigits(width!.estimate * height!.estimate * joint.fullness.estimate, fed(setting), 10);
  });

  test("says when the fullness is no wall's", () => {
    const [pair] = constrainedPairs({ definition, coupons: walls(0.66) });
    const { findings } = fitConstrained({ definition, coupons: walls(0.66) }, pair!);
    expect(findings.find(({ code }) => code === "odd-fullness")!.message).toMatch(
      /0\.6\d of total_wall_width and layer_height is outside 0\.80 to 1\.05, what walls show/,
    );
  });
});
