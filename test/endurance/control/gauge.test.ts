import { describe, expect, test } from "vitest";
import { type GaugeReading, gaugeAnova, gaugeStudy } from "../../../lib/endurance/control/index.js";
import { randomStream } from "../../../lib/numeric/index.js";
import { expectDigits } from "../../support/digits.js";

/**
 * The ten-part, three-operator, three-reading example of the industry manual on measurement systems analysis (AIAG, third
 * and fourth edition). Data and published figures from memory: that the data give the published sums shows both are right.
 */
const example: readonly GaugeReading[] = Object.entries({
  A: "0.29 0.41 0.64 -0.56 -0.68 -0.58 1.34 1.17 1.27 0.47 0.50 0.64 -0.80 -0.92 -0.84 0.02 -0.11 -0.21 0.59 0.75 0.66 -0.31 -0.20 -0.17 2.26 1.99 2.01 -1.36 -1.25 -1.31",
  B: "0.08 0.25 0.07 -0.47 -1.22 -0.68 1.19 0.94 1.34 0.01 1.03 0.20 -0.56 -1.20 -1.28 -0.20 0.22 0.06 0.47 0.55 0.83 -0.63 0.08 -0.34 1.80 2.12 2.19 -1.68 -1.62 -1.50",
  C: "0.04 -0.11 -0.15 -1.38 -1.13 -0.96 0.88 1.09 0.67 0.14 0.20 0.11 -1.46 -1.07 -1.45 -0.29 -0.67 -0.49 0.02 0.01 0.21 -0.46 -0.56 -0.49 1.77 1.45 1.87 -1.49 -1.77 -2.16",
}).flatMap(([operator, text]) =>
  text
    .split(" ")
    .map((value, i) => ({ part: String(Math.floor(i / 3) + 1), operator, value: Number(value) })),
);

describe("a published gauge study", () => {
  const study = gaugeStudy(example);
  const row = (source: string) => study.rows.find((one) => one.source === source)!;
  const sd = (name: string) => study.components.find((one) => one.name === name)!;

  test("has the published sums of squares, with the small interaction among the repeats", () => {
    // Published: 88.3619, 3.1673, and 0.3590 on 18 with 2.7589 on 60; more digits from aov() of R 4.
    expectDigits(row("parts").ss, 88.361934444444, 12);
    expectDigits(row("operators").ss, 3.167262222222, 12);
    expectDigits(row("repeats").ss, 0.358982222222 + 2.758933333333, 11);
    expect(row("repeats").df).toBe(78);
    expect(study.pooled).toBe(true);
    expectDigits(study.interactionP!, 0.9741064, 7);
  });

  test("has the published components, shares and categories", () => {
    expectDigits(sd("repeatability").variance, 0.03997, 4);
    expectDigits(sd("reproducibility").variance, 0.05146, 4);
    expectDigits(sd("gauge").sd.estimate, 0.302373, 5);
    expectDigits(sd("parts").variance, 1.08645, 5);
    expect(sd("gauge").share.estimate).toBeCloseTo(0.0776, 4);
    expect(study.categories.estimate).toBe(4);
    expect(study.gaugeSd).toBe(0.302);
  });

  test("names the cell in which one reading is far from the other two", () => {
    const odd = study.findings.filter(({ code }) => code === "gauge-reading-odd");
    expect(odd.map(({ about }) => about)).toEqual([["4"]]);
    expect(odd[0]!.message).toContain("part 4 by B was read as 0.01000, 1.030, 0.2000");
  });
});

/** Readings of a gauge of known components. */
function simulated({
  seed,
  parts = 10,
  operators = 3,
  repeats = 3,
  sds,
}: {
  readonly seed: number;
  readonly parts?: number;
  readonly operators?: number;
  readonly repeats?: number;
  readonly sds: {
    readonly part: number;
    readonly operator: number;
    readonly both: number;
    readonly repeat: number;
  };
}): readonly GaugeReading[] {
  const stream = randomStream(seed);
  const byOperator = Array.from({ length: operators }, () => sds.operator * stream.normal());
  return Array.from({ length: parts }, (_, part) => {
    const size = 6 + sds.part * stream.normal();
    return byOperator.flatMap((shift, operator) => {
      const both = sds.both * stream.normal();
      return Array.from({ length: repeats }, () => ({
        part: `P${part}`,
        ...(operators === 1 ? {} : { operator: `O${operator}` }),
        value: size + shift + both + sds.repeat * stream.normal(),
      }));
    });
  }).flat();
}

describe("intervals of a gauge study", () => {
  test.each([
    ["several operators who differ", { part: 0.4, operator: 0.05, both: 0.03, repeat: 0.05 }, 4],
    ["operators who hardly differ", { part: 0.4, operator: 0.01, both: 0, repeat: 0.05 }, 3],
    ["one person", { part: 0.3, operator: 0, both: 0, repeat: 0.06 }, 1],
  ] as const)("hold the true scatter of gauge and parts in about 95 %%: %s", (_, sds, operators) => {
    const runs = 300;
    const truth = {
      repeatability: sds.repeat,
      gauge: Math.sqrt(sds.repeat ** 2 + sds.operator ** 2 + sds.both ** 2),
      parts: sds.part,
    };
    const held = { repeatability: 0, gauge: 0, parts: 0 };
    for (let run = 0; run < runs; run++) {
      const { components } = gaugeStudy(simulated({ seed: 100 + run, operators, sds }));
      for (const name of ["repeatability", "gauge", "parts"] as const) {
        const { lower, upper } = components.find((one) => one.name === name)!.sd;
        if (lower <= truth[name] && truth[name] <= upper) held[name]++;
      }
    }
    // Two sd of 300 runs are 2.5 %; generalised intervals may hold a little more than they claim.
    for (const [name, count] of Object.entries(held)) expect(count / runs, name).toBeGreaterThan(0.92);
  });
});

describe("gaugeStudy", () => {
  const sds = { part: 0.4, operator: 0, both: 0, repeat: 0.05 };

  test("of one person takes parts that were read unequally often", () => {
    const readings = simulated({ seed: 1, operators: 1, sds }).filter((_, i) => i % 7 !== 0);
    const { components, operators } = gaugeStudy(readings);
    expect(operators).toBe(1);
    expect(components.find(({ name }) => name === "reproducibility")!.sd.upper).toBe(0);
    expect(components.find(({ name }) => name === "gauge")!.sd.estimate).toBeGreaterThan(0.03);
  });

  test("keeps an interaction that is told", () => {
    const { rows, pooled } = gaugeAnova(simulated({ seed: 2, operators: 3, sds: { ...sds, both: 0.3 } }));
    expect(pooled).toBe(false);
    expect(rows.map(({ source, df }) => [source, df])).toEqual([
      ["parts", 9],
      ["operators", 2],
      ["parts x operators", 18],
      ["repeats", 60],
    ]);
  });

  test("says of a coarse step that it hides the scatter, and takes the step's own share", () => {
    const coarse = simulated({ seed: 3, operators: 1, sds: { ...sds, repeat: 0.03 } }).map((one) => ({
      ...one,
      value: Math.round(one.value * 5) / 5,
    }));
    const { findings, gaugeSd, step } = gaugeStudy(coarse);
    expect(step).toBe(0.2);
    expect(findings.map(({ code }) => code)).toContain("gauge-coarse");
    expect(gaugeSd).toBeGreaterThanOrEqual(0.0577);
  });

  test.each<[readonly GaugeReading[], RegExp]>([
    [
      [
        { part: "1", value: 1 },
        { part: "1", value: 2 },
      ],
      /at least 2 parts \(10 are usual\), got 1/,
    ],
    [
      [
        { part: "1", value: 1 },
        { part: "2", value: 2 },
      ],
      /every part was read once/,
    ],
    [
      [
        { part: "1", operator: "A", value: 1 },
        { part: "1", value: 2 },
        { part: "2", value: 2 },
      ],
      /2 of 3 readings name no operator/,
    ],
    [
      example.filter((_, i) => i !== 33),
      /most were read 3 times, but part 2 by B 2 times: read these as often/,
    ],
    [
      ["1", "2", "3"].flatMap((part) => [1, 1].map(() => ({ part, value: Number(part) }))),
      /agree to the last digit/,
    ],
  ])("refuses %# with what to do", (readings, told) => {
    expect(() => gaugeStudy(readings)).toThrow(told);
  });
});
