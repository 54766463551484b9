import { existsSync, mkdtempSync, readFileSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { checkStudy, unitHypotheses } from "../../lib/models/index.js";
import { randomStream } from "../../lib/numeric/index.js";
import { createStudy, draftDefinitionFromCsv, importCsv } from "../../lib/study/index.js";
import { developmentRigs } from "../rigs/index.js";
import { type Beads, beadsOf, drawnBeads, slippedStudies, withoutFactor } from "../support/unit-slips.js";

/** Measured beads beside the repository, with the process and the wire that go with them. */
const openData = new URL("../../../../shared/open-data/", import.meta.url);
const openSets = [
  ["gmaw-single-bead-heights.csv", 1.143],
  ["gmaw-cladding-composite.csv", 1.2],
] as const;

function openBeads(): readonly Beads[] {
  return openSets.flatMap(([file, value]) => {
    const url = new URL(file, openData);
    if (!existsSync(url)) return [];
    const text = readFileSync(url, "utf8");
    const wire = { classification: "ER70S-6", diameter: { value, unit: "mm" } };
    const { definition } = draftDefinitionFromCsv(text, { name: file, process: "135", wire });
    const folder = mkdtempSync(join(tmpdir(), "unit-slips-"));
    const { coupons } = importCsv(createStudy(folder, definition), text).study;
    rmSync(folder, { recursive: true });
    return [{ name: file, definition, coupons }];
  });
}

/**
 * Every column of many studies under every unit a shop would mix up: how often the check names the slip, how often the
 * right column and unit come first, and how often it suspects a study whose units are right. Measured beads are those
 * beside the repository, where there are any.
 */
export function benchUnitSlips(rigs = 40): void {
  const groups: readonly (readonly [string, readonly Beads[]])[] = [
    ["measured beads", openBeads()],
    ["rigs of the tests", developmentRigs.map((rig) => beadsOf(rig, randomStream(7), 20))],
    [
      "rigs drawn at random",
      Array.from({ length: rigs }, (_, i) => drawnBeads(randomStream(4321).split(i), 16)),
    ],
  ];
  for (const [name, found] of groups) {
    const whole = found.filter(({ coupons }) => coupons.length >= 8);
    const isFed = ({ definition }: Beads): boolean =>
      definition.factors.some((factor) => factor.name === "wire_feed_speed");
    const bare = whole.map((beads) => (isFed(beads) ? withoutFactor(beads, "wire_feed_speed") : beads));
    for (const [kind, all] of [
      ["with wire feed", whole.filter(isFed)],
      ["without wire feed", bare],
    ] as const) {
      const alarms = all.map(({ definition, coupons }) => checkStudy({ definition, coupons }));
      const suspects = alarms.filter(({ findings }) => findings.some(({ code }) => code === "unit-slip"));
      const blocked = alarms.filter(({ refused }) => refused);
      for (const ranges of ["own", "drawn"] as const) {
        const slips = all.flatMap((beads) => slippedStudies(beads, ranges));
        let caught = 0;
        let right = 0;
        for (const { definition, coupons, column, meant } of slips) {
          if (!checkStudy({ definition, coupons }).findings.some(({ code }) => code === "unit-slip"))
            continue;
          caught++;
          const [first] = unitHypotheses({ definition, coupons });
          if (first?.quantity === column && first.likely === meant) right++;
        }
        const share = (count: number): string => `${((100 * count) / slips.length).toFixed(1)} %`;
        console.log(
          `  ${name}, ${kind}, ranges ${ranges}: ${slips.length} slips, caught ${share(caught)}, right first ${share(right)}; ${all.length} sound studies, suspected ${suspects.length}, refused ${blocked.length}`,
        );
      }
    }
  }
}
