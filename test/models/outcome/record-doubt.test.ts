import { describe, expect, test } from "vitest";
import { buildOutcomeModel } from "../../../lib/models/index.js";
import type { LatentModel } from "../../../lib/models/outcome/latent.js";
import type { LatentPosterior } from "../../../lib/models/outcome/latent-fit.js";
import { doubtRecords } from "../../../lib/models/outcome/record-doubt.js";
import { usualPriors } from "../../../lib/models/priors/index.js";
import { randomStream } from "../../../lib/numeric/index.js";
import type { Coupon } from "../../../lib/study/index.js";
import { foreseeCoupons } from "../../../lib/window/index.js";
import { loggedCoupon } from "../../rigs/closed-loop.js";
import type { RigFormulas } from "../../rigs/rig.js";
import { cleanShop, dirtyShop, runShopCoupon, type ShopHabits } from "../../rigs/shop.js";
import { tigAluminium } from "../../rigs/tig-aluminium.js";
import { tigWearRing } from "../../rigs/tig-wear-ring.js";
import { expectDigits } from "../../support/digits.js";
import { readFixture } from "../../support/fixture.js";

interface Reference {
  readonly coupons: number;
  readonly shares: { readonly reading: number; readonly elsewhere: number };
  readonly coefficients: number[][];
  readonly offset: number[][];
  readonly slopes: number[][];
  readonly scatter: number[][];
  readonly point: number[];
  readonly leftOut: { readonly mean: number[]; readonly variance: number[] };
  readonly cases: {
    readonly readings: number[];
    readonly slips: number[];
    readonly elsewhere: number;
    readonly any: number;
    readonly foreseen: [mean: number, sd: number][];
  }[];
}

/** Made with SciPy's multivariate t by record_doubt.py. */
const reference = readFixture<Reference>(import.meta.url, "fixtures/record-doubt.json");

describe("doubtRecords", () => {
  const links = reference.coefficients.map((coefficients, r) => ({
    response: `response ${r}`,
    log: true,
    origin: 0,
    scale: 1,
    offset: { constant: reference.offset[r]![0]!, slopes: reference.offset[r]!.slice(1) },
    coefficients,
    own: r,
  }));
  const posteriors = reference.slopes.map(
    (slopes, l) =>
      ({
        weights: [0, ...slopes],
        leftOut: [{ mean: reference.leftOut.mean[l]!, variance: reference.leftOut.variance[l]! }],
        coupons: reference.coupons,
      }) as unknown as LatentPosterior,
  );
  test.each(reference.cases)("weighs the causes as SciPy's densities do: $readings", (expected) => {
    const [found] = doubtRecords(
      [
        {
          point: Float64Array.from(reference.point),
          block: 0,
          place: 0,
          responses: new Map(expected.readings.map((value, r) => [r, value])),
          latents: new Map(),
          passed: new Map(),
          checkedAgain: new Set(),
        },
      ],
      {
        coordinates: ["one", "other"].map((factor) => ({
          factor,
          kind: "log",
          centre: 0,
          scale: 1,
          half: 0.5,
          settingSd: 0,
        })),
        latent: { links, priors: [] } as unknown as LatentModel,
        graded: new Set(),
        posteriors,
        shownBy: [[0], [0]],
        scatter: reference.scatter,
        shares: reference.shares,
        priors: { ...usualPriors, other_setting_sd: 0.2 },
      },
    );
    expected.slips.forEach((slip, r) => {
      const reading = found!.readings.get(r)!;
      expectDigits(reading.slip, slip, 8, `slip of reading ${r}`);
      expectDigits(reading.mean, expected.foreseen[r]![0], 10, `foreseen of reading ${r}`);
      expectDigits(reading.sd, expected.foreseen[r]![1], 10, `sd of reading ${r}`);
    });
    expectDigits(found!.elsewhere, expected.elsewhere, 8, "elsewhere");
    expectDigits(found!.any, expected.any, 8, "anything");
  });
});

/** Coupons at settings spread over the good half of a rig's ranges, six a day. */
function logOf(rig: RigFormulas, habits: ShopHabits, count: number, seed: number) {
  const stream = randomStream(seed).split(rig.name);
  const run = Array.from({ length: count }, (_, i) => {
    const settings = Object.fromEntries(
      rig.definition.factors.map(({ name, low, high }) => [
        name,
        Number((low + (high - low) * (0.25 + 0.5 * stream.uniform())).toPrecision(4)),
      ]),
    );
    const day = { weather: 0, shifts: [] };
    const { outcome, mishaps } = runShopCoupon({ rig, habits, settings, day, place: 0, stream });
    return { coupon: loggedCoupon(i, settings, outcome, Math.floor(i / 6) + 1), mishaps };
  });
  return { coupons: run.map(({ coupon }) => coupon), mishaps: run.map(({ mishaps }) => mishaps) };
}

/** A coupon whose reading was written down so many times too large. */
function spoilt(coupon: Coupon, name: string, times: number): Coupon {
  const result = coupon.results[name]!;
  if (result.kind !== "measured") throw new Error(`${name} is no dimension`);
  return {
    ...coupon,
    results: { ...coupon.results, [name]: { ...result, value: result.value * times } },
  };
}

describe("suspects of a study", { timeout: 60_000 }, () => {
  const { definition } = tigWearRing;
  const { coupons } = logOf(tigWearRing, cleanShop, 30, 4);
  const measured = coupons.filter(({ results }) => "bead_width" in results);
  const middle = Object.fromEntries(
    definition.factors.map(({ name, low, high }) => [name, (low + high) / 2]),
  );
  const widthAt = (some: readonly Coupon[]) =>
    foreseeCoupons(buildOutcomeModel({ definition, coupons: some }), [middle])[0]!.responses.find(
      ({ response }) => response === "bead_width",
    )!;

  test.each([
    ["a decimal mark", 10],
    ["the other decimal mark", 0.1],
    ["inches for millimetres", 1 / 25.4],
    ["a wrong first digit", 1.4],
  ])("%s in one width is named and moves no prediction", (_, times) => {
    const odd = measured[3]!;
    const dirty = coupons.map((coupon) => (coupon === odd ? spoilt(odd, "bead_width", times) : coupon));
    const model = buildOutcomeModel({ definition, coupons: dirty });
    const suspect = model.suspects.find(({ coupon }) => coupon === odd.id)!;
    expect(suspect).toMatchObject({ likeliest: "reading", what: "bead_width" });
    expect(suspect.chance).toBeGreaterThan(0.9);
    expect(model.suspects.filter(({ chance }) => chance >= 0.5)).toHaveLength(1);
    const { value } = odd.results.bead_width as { readonly value: number };
    expect(value).toBeGreaterThan(suspect.reading!.lower);
    expect(value).toBeLessThan(suspect.reading!.upper);
    const [clean, after] = [widthAt(coupons), widthAt(dirty)];
    const sd = (clean.upper - clean.lower) / 4;
    expect(Math.abs(after.median - clean.median)).toBeLessThan(0.15 * sd);
  });

  test("three slips do not hide each other", () => {
    const odd = [measured[1]!, measured[5]!, measured[8]!];
    const dirty = coupons.map((coupon) =>
      odd.includes(coupon) ? spoilt(coupon, "bead_width", coupon === odd[1] ? 0.1 : 10) : coupon,
    );
    const named = buildOutcomeModel({ definition, coupons: dirty }).suspects.filter(
      ({ chance }) => chance >= 0.5,
    );
    expect(named.map(({ coupon }) => coupon).sort()).toEqual(odd.map(({ id }) => id).sort());
  });

  test("a reading measured again is believed, and so is what the others thought of it", () => {
    const odd = measured[3]!;
    const dirty = (checkedAgain: readonly string[]) =>
      coupons.map((coupon) =>
        coupon === odd ? { ...spoilt(odd, "bead_width", 1.24), checkedAgain } : coupon,
      );
    const chanceOf = (checkedAgain: readonly string[]): number =>
      buildOutcomeModel({ definition, coupons: dirty(checkedAgain) }).suspects.find(
        ({ coupon }) => coupon === odd.id,
      )!.chance;
    const [before, other, after] = [
      chanceOf([]),
      chanceOf(["bead_height"]),
      chanceOf(["bead_width", "current"]),
    ];
    expect(before).toBeGreaterThan(0.5);
    expect(other).toBeGreaterThan(0.5);
    expect(after).toBeLessThan(0.25);
  });

  test("findings tell what to measure again", () => {
    const odd = measured[0]!;
    const dirty = coupons.map((coupon) => (coupon === odd ? spoilt(odd, "bead_height", 10) : coupon));
    const finding = buildOutcomeModel({ definition, coupons: dirty }).findings.find(
      ({ code }) => code === "suspect-coupon",
    )!;
    expect(finding.about).toEqual([odd.id]);
    expect(finding.message).toContain("bead_height");
    expect(finding.advice).toContain(`log <study> ${odd.id} --correct bead_height=`);
  });

  test("sound coupons are left alone, and dirty ones found, on rigs whose laws the model does not hold", () => {
    let [sound, blamed, dirty, found] = [0, 0, 0, 0];
    for (const rig of [tigWearRing, tigAluminium]) {
      for (let seed = 11; seed < 17; seed++) {
        const log = logOf(rig, dirtyShop, 30, seed);
        const { suspects } = buildOutcomeModel({ definition: rig.definition, coupons: log.coupons });
        suspects.forEach(({ chance }, i) => {
          const mishaps = log.mishaps[i]!.filter((mishap) => mishap !== "left-out");
          if (mishaps.length === 0) {
            sound++;
            if (chance >= 0.5) blamed++;
          } else if (mishaps.includes("pen-slip")) {
            dirty++;
            if (chance >= 0.5) found++;
          }
        });
      }
    }
    expect(dirty).toBeGreaterThan(10);
    expect(blamed / sound).toBeLessThan(0.03);
    expect(found / dirty).toBeGreaterThan(0.6);
  });
});
