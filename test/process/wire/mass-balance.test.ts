import { expect, test } from "vitest";
import {
  areaFromWeighing,
  beadArea,
  checkMassBalance,
  depositionRate,
  feedForArea,
  linearMass,
  spoolTime,
  wireArea,
  wireForVolume,
} from "../../../lib/process/index.js";
import { convert } from "../../../lib/units/index.js";
import { expectDigits } from "../../support/digits.js";
import { fc } from "../../support/properties.js";
import { checkTable } from "../check-table.js";

const wire = { wireDiameter: 1.2, wireFeedSpeed: 20 };

checkTable("area of a circle, computed independently", [
  ["0.8 mm", () => wireArea(0.8), 0.502655],
  ["0.9 mm", () => wireArea(0.9), 0.636173],
  ["1.0 mm", () => wireArea(1), 0.785398],
  ["1.2 mm", () => wireArea(1.2), 1.130973],
  ["1.6 mm", () => wireArea(1.6), 2.010619],
  ["0.045 in is 9.3 % below 1.2 mm", () => 1 - wireArea(1.143) / wireArea(1.2), 0.0927, 3],
  ["0.02 mm on 1.2 mm is 3.3 % in area", () => wireArea(1.22) / wireArea(1.2) - 1, 0.033611],
]);

checkTable("conservation of mass, computed by hand for 1.2 mm wire at 20 mm/s, 3 mm/s travel, steel", [
  ["bead area, mm2", () => beadArea(wire, 3), 7.53982],
  ["deposition rate, g/s", () => depositionRate(wire, 7.85), 0.177563],
  ["deposition rate, kg/h", () => convert(depositionRate(wire, 7.85), "g/s", "kg/h"), 0.63923],
  ["deposition rate, lb/h", () => convert(depositionRate(wire, 7.85), "g/s", "lb/h"), 1.40925],
  ["linear mass, g/m", () => 1000 * linearMass(beadArea(wire, 3), 7.85), 59.188],
  ["balance resolution on a 100 mm bead", () => 0.1 / (100 * linearMass(beadArea(wire, 3), 7.85)), 0.0169, 3],
]);

test("feedForArea undoes beadArea; weighing the bead gives its area back; wire and spool agree", () => {
  const positive = (min: number, max: number) => fc.double({ min, max, noNaN: true });
  fc.assert(
    fc.property(
      positive(0.6, 3.2),
      positive(1, 300),
      positive(0.5, 60),
      positive(0.5, 1),
      positive(2, 9),
      (wireDiameter, wireFeedSpeed, travel, depositionEfficiency, density) => {
        const setting = { wireDiameter, wireFeedSpeed, depositionEfficiency };
        const area = beadArea(setting, travel);
        expectDigits(feedForArea(area, travel, setting), wireFeedSpeed, 12);
        expectDigits(areaFromWeighing(80 * linearMass(area, density), density, 80), area, 12);
        expectDigits(wireForVolume(area * 80, setting), (wireFeedSpeed * 80) / travel, 12);
        expectDigits(
          spoolTime(1000, setting, density) * depositionRate(setting, density),
          1000 * depositionEfficiency,
          12,
        );
      },
    ),
  );
});

test("a wire of 12 mm is refused in a sentence", () => {
  expect(() => wireArea(12)).toThrow(
    /wire diameter must be at least 0.3 and at most 6.4 mm, got 12 mm; .*12 for 1.2/,
  );
  expect(() => wireArea(0.045)).toThrow(/0.045 is inches: 1.143 mm/);
  expect(() => beadArea({ ...wire, wireFeedSpeed: -1 }, 3)).toThrow(/wire feed speed must be above 0/);
  expect(() => beadArea({ ...wire, depositionEfficiency: 95 }, 3)).toThrow(/0.95 for 95 %/);
});

test("checkMassBalance is silent within 5 % and names the pair that disagrees", () => {
  expect(checkMassBalance({ feed: 7.54, weight: 7.3, section: 7.6 })).toEqual([]);
  const findings = checkMassBalance({ feed: 7.54, weight: 6.9, section: 7.5 });
  expect(findings.map(({ about }) => about)).toEqual([
    ["feed", "weight"],
    ["weight", "section"],
  ]);
  expect(findings[0]!.message).toBe("bead area by weight is 6.90 mm2 against 7.54 mm2 by feed (-8.5 %)");
});
