import { describe, expect, test } from "vitest";
import {
  FINISH_BELIEFS,
  type FinishBeliefs,
  finishChance,
  type TriedBuild,
} from "../../../lib/endurance/index.js";
import { expectDigits } from "../../support/digits.js";
import { heldOutLossLaws, lossLaws } from "./finish-laws.js";
import { calibrationOf, seeded } from "./finishing.js";
import { foreseenStops } from "./stops.js";

describe("the chance to finish", () => {
  test("rises with builds finished, falls with builds lost, and lies inside its bounds", () => {
    const done: TriedBuild = { run: 1, lost: false };
    const lost: TriedBuild = { run: 0.4, lost: true };
    const histories = [
      [lost, lost, lost],
      [lost, lost],
      [lost],
      [lost, done],
      [done],
      [done, done],
      [done, done, done, done],
    ];
    const chances = histories.map((tried) => finishChance(tried));
    for (const { predictive, atLeast, atMost } of chances) {
      expect(atLeast).toBeLessThanOrEqual(predictive);
      expect(predictive).toBeLessThanOrEqual(atMost);
    }
    const [a, b, c] = [
      [lost, lost, lost],
      [lost, done],
      [done, done],
    ].map((tried) => finishChance(tried).predictive);
    expect(a!).toBeLessThan(b!);
    expect(b!).toBeLessThan(c!);
  });

  test("grows while a build runs, to 1 at its end", () => {
    const tried = [
      { run: 0.5, lost: true },
      { run: 1, lost: false },
    ];
    const chances = [0, 0.25, 0.5, 0.75, 1].map((from) => finishChance(tried, { from }).predictive);
    chances.slice(1).forEach((chance, i) => {
      expect(chance).toBeGreaterThan(chances[i]!);
    });
    expect(chances.at(-1)).toBe(1);
  });

  const laws = { ...lossLaws, ...heldOutLossLaws };
  // The last two are laws that no belief was set on.
  const judged = [
    "wear to the third power",
    "bad days and good days",
    "a mistake at one of six changes",
    "bathtub",
    "clustered shocks",
  ];

  test.each(judged)("is claimed as often as it comes true, from the third build on: %s", (name) => {
    const { off, aboveLower, belowUpper } = calibrationOf(
      seeded(name, laws[name]!, { lost: 0.5, claims: 500, seed: 2027 }),
    );
    expect(Math.abs(off)).toBeLessThan(0.05);
    expect(aboveLower).toBeGreaterThan(0.9);
    expect(belowUpper).toBeGreaterThan(0.9);
  });

  test("is claimed as often as it comes true where two builds of three are lost, and scores better than one rate", () => {
    const claims = judged.flatMap((name) =>
      seeded(name, laws[name]!, { lost: 2 / 3, claims: 200, seed: 2028 }),
    );
    const { off, score, byRate } = calibrationOf(claims);
    expect(Math.abs(off)).toBeLessThan(0.05);
    expect(score).toBeLessThan(byRate);
  });

  test("grows faster where stops thin out with the losses, or a change was logged between lost and finished builds", () => {
    const lost = { run: 0.5, lost: true };
    const done = { run: 1, lost: false };
    const bare = finishChance([lost, lost, done]).predictive;
    const stops = [8, 8, 3];
    const thinning = [lost, lost, done].map((build, i) => ({ ...build, stops: stops[i]! }));
    const crowding = [lost, lost, done].map((build, i) => ({ ...build, stops: [1, 2, 16][i]! }));
    expect(finishChance(thinning).predictive).toBeGreaterThan(finishChance(crowding).predictive + 0.01);
    const changed = [lost, lost, { ...done, changes: 1 }];
    expect(finishChance(changed, { changes: 1 }).predictive).toBeGreaterThan(bare + 0.01);
  });

  test("with all said to be steady and lost by share alone is the Beta prediction", () => {
    // (a + finished) / (a + b + builds): where a build was lost then tells nothing.
    const beliefs: FinishBeliefs = {
      ...FINISH_BELIEFS,
      chance: [0.5, 1.5],
      laws: FINISH_BELIEFS.laws.filter(({ kind }) => kind.endsWith("share")),
      trends: { unchanged: [{ by: "builds", fall: 0, weight: 1 }], changed: [] },
    };
    const builds = [0.3, 1, 0.9, 1, 1].map((run) => ({ run, lost: run < 1 }));
    expectDigits(finishChance(builds, { beliefs }).predictive, 3.5 / 7, 4);
  });

  test("with one rate alone is the gamma-Poisson prediction", () => {
    // p^a of the belief and (-ln p)^r p^T of the record: ((a + T) / (a + T + 1))^(r + 1) where b is 1.
    const beliefs: FinishBeliefs = {
      ...FINISH_BELIEFS,
      chance: [1, 1],
      laws: FINISH_BELIEFS.laws.filter(({ kind, within }) => kind === "rate" && within === 1),
      trends: { unchanged: [{ by: "builds", fall: 0, weight: 1 }], changed: [] },
    };
    const builds = [0.3, 1, 0.9, 0.5].map((run) => ({ run, lost: run < 1 }));
    const [a, run] = [1, 2.7];
    expectDigits(finishChance(builds, { beliefs }).predictive, ((a + run) / (a + run + 1)) ** 4, 3);
  });
});

test("expects as many stops of each cause as come, where builds are good and bad, and some are lost", () => {
  for (const [what, { expected, true: truth }] of Object.entries(foreseenStops(60, 5)))
    expect(Math.abs(expected - truth), what).toBeLessThan(0.15 * truth + 0.05);
});
