import { describe, expect, test } from "vitest";
import { checkStudy } from "../../../lib/models/index.js";
import type { Coupon } from "../../../lib/study/index.js";
import { pennedStudies, tallySlips } from "../../support/pen-slips.js";
import { coupon, shows, simulatedBeads, sizeOf, tigDefinition } from "../../support/studies.js";

const definition = tigDefinition();
const named = (code: string, coupons: readonly Coupon[]) =>
  checkStudy({ definition, coupons }).findings.filter((finding) => finding.code === code);

describe("slips of the pen", () => {
  test("80 of 100 beyond 4 sd are named, and at most 1 in 50 sound coupons", () => {
    const studies = (["drawn", "tests", "odd law"] as const).flatMap((kind) => pennedStudies(kind, 8, 777));
    const tally = tallySlips(studies, (study) => {
      const { values } = checkStudy(study).slips;
      return new Set(values.map(({ coupon: id }) => id));
    });
    expect(tally.slips).toBeGreaterThan(20);
    expect(tally.slipsNamed / tally.slips).toBeGreaterThanOrEqual(0.8);
    expect(tally.soundNamed / tally.sound).toBeLessThanOrEqual(1 / 50);
  });

  const beads = simulatedBeads(12, 24, 0.04);
  const mistyped = (id: string, response: string, change: (value: number) => number): readonly Coupon[] =>
    beads.map((bead) => {
      const rounded = Number(sizeOf(bead, response).toFixed(2));
      return bead.id === id ? shows(bead, { measured: { [response]: change(rounded) } }) : bead;
    });

  test("a decimal mark: the value meant and the command that mends it are given", () => {
    const [finding, ...others] = named(
      "pen-slip",
      mistyped("S7", "bead_width", (value) => value * 10),
    );
    const meant = Number(sizeOf(beads[6]!, "bead_width").toFixed(2));
    expect(others).toEqual([]);
    expect(finding).toMatchObject({ severity: "error", about: ["S7"] });
    expect(finding!.message).toMatch(/^S7: bead_width .* is likely a slip of the pen \(chance over 99 %\)/);
    expect(finding!.message).toContain("the decimal mark slipped");
    expect(finding!.advice).toContain(
      `beadbench log <study> S7 --correct bead_width="${meant} mm" --why "mistyped"`,
    );
  });

  test("two slips do not hide each other", () => {
    const twice = mistyped("S7", "bead_height", (value) => value * 10).map((bead) =>
      bead.id === "S8" ? shows(bead, { measured: { bead_height: sizeOf(bead, "bead_height") * 10 } }) : bead,
    );
    expect(named("pen-slip", twice).flatMap(({ about }) => about)).toEqual(["S7", "S8"]);
  });

  test("width and height of one coupon in each other's column are told as one exchange", () => {
    const [width, height] = ["bead_width", "bead_height"].map((size) => sizeOf(beads[6]!, size));
    const swapped = beads.map((bead) =>
      bead.id === "S7" ? shows(bead, { measured: { bead_width: height!, bead_height: width! } }) : bead,
    );
    const [finding, ...others] = named("exchanged-values", swapped);
    expect(others).toEqual([]);
    expect(named("pen-slip", swapped)).toEqual([]);
    expect(finding).toMatchObject({ severity: "error", about: ["S7"] });
    expect(finding!.message).toMatch(
      /^S7: bead width and bead height were likely written in each other's place/,
    );
    expect(finding!.advice).toMatch(
      /S7 --correct bead_width="[\d.]+ mm" bead_height="[\d.]+ mm" --why "mistyped"$/,
    );
  });

  test("readings of two coupons exchanged are told as that, with the values that mend both", () => {
    let told = 0;
    for (let seed = 40; seed < 50; seed++) {
      const log = simulatedBeads(seed, 24, 0.04);
      const byWidth = [...log].sort((a, b) => sizeOf(a, "bead_width") - sizeOf(b, "bead_width"));
      const [narrow, wide] = [byWidth[1]!, byWidth.at(-2)!];
      const twins = new Map([
        [narrow.id, wide],
        [wide.id, narrow],
      ]);
      const swapped = log.map((bead) => ({ ...bead, results: (twins.get(bead.id) ?? bead).results }));
      const found = named("exchanged-values", swapped);
      expect(found.length).toBeLessThanOrEqual(1);
      if (found.length === 0) continue;
      told++;
      expect([...found[0]!.about!].sort()).toEqual([narrow.id, wide.id].sort());
      expect(named("pen-slip", swapped).flatMap(({ about }) => about)).not.toContain(narrow.id);
      const width = Number(/bead_width="([\d.]+) mm"/.exec(found[0]!.advice!)![1]);
      expect([narrow, wide].some((bead) => Math.abs(width / sizeOf(bead, "bead_width") - 1) < 0.001)).toBe(
        true,
      );
    }
    expect(told).toBeGreaterThanOrEqual(8);
  });

  test("two slips that do not explain each other are told apart", () => {
    const twice = mistyped("S7", "bead_width", (value) => value * 10).map((bead) =>
      bead.id === "S8" ? shows(bead, { measured: { bead_width: sizeOf(bead, "bead_width") * 10 } }) : bead,
    );
    expect(named("exchanged-values", twice)).toEqual([]);
    expect(named("pen-slip", twice)).toHaveLength(2);
  });

  test("of two repeats the one that cannot be is blamed, though only two were run", () => {
    const settings = { current: 150, travel_speed: 180, wire_feed_speed: 1.2 };
    const pair = [60, 6].map((bead_width, i) => coupon(`R${i}`, { settings, measured: { bead_width } }));
    const check = checkStudy({ definition, coupons: pair });
    expect(check.refused).toBe(true);
    const blamed = check.findings.filter(({ code }) => code === "pen-slip");
    expect(blamed.flatMap(({ about }) => about)).toEqual(["R0"]);
  });

  test("a size of 0 or below is refused", () => {
    const [finding] = named(
      "impossible-size",
      mistyped("S3", "bead_width", (value) => -value),
    );
    expect(finding).toMatchObject({ severity: "error", about: ["S3"] });
  });

  test("a setting ten times all others", () => {
    const odd = beads.map((bead) =>
      bead.id === "S5" ? { ...bead, settings: { ...bead.settings, current: 1500 } } : bead,
    );
    const drawn = tigDefinition({
      factors: definition.factors.map((factor) =>
        factor.name === "current" ? { ...factor, high: 1500 } : factor,
      ),
    });
    for (const study of [definition, drawn]) {
      const slip = checkStudy({ definition: study, coupons: odd }).findings.find(
        ({ code }) => code === "setting-slip",
      );
      expect(slip).toMatchObject({ severity: "error", about: ["S5"] });
      expect(slip!.message).toMatch(/current 1500 A .*; 150 A would fit \(the decimal mark slipped\)/);
    }
  });

  test("one station a millimetre off", () => {
    const stations = beads.map((bead, i) => {
      const middle = sizeOf(bead, "bead_height");
      const readings = [0.99, 1.01, 1, 1.02].map((share) => Number((share * middle).toFixed(2)));
      if (i === 4) readings[2] = Number((readings[2]! + 1).toFixed(2));
      return shows(bead, { scatter: { bead_height: { readings, sd: 0.1 } } });
    });
    const found = checkStudy({ definition, coupons: stations }).slips.stations;
    expect(found).toEqual([expect.objectContaining({ coupon: "S5", station: 3 })]);
  });

  test("a verdict deep among the others' failures", () => {
    const judged = Array.from({ length: 30 }, (_, i) =>
      coupon(`V${i}`, {
        settings: { current: 100 + (100 * i) / 29, travel_speed: 200, wire_feed_speed: 1 },
        passed: { sound_bead: i < 12 || i === 26 },
      }),
    );
    const [finding, ...others] = named("verdict-slip", judged);
    expect(others).toEqual([]);
    expect(finding).toMatchObject({ severity: "warning", about: ["V26"] });
  });
});
