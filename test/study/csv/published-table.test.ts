import { expect, test } from "vitest";
import { buildOutcomeModel } from "../../../lib/models/index.js";
import { measuredOf, readPublishedTable } from "../../../lib/study/index.js";
import { expectDigits } from "../../support/digits.js";
import { tigDefinition } from "../../support/studies.js";

const study = tigDefinition();
const head = "# source: invented for this test, table 2";
const table = [
  head,
  "# wire_diameter = 0.8 mm",
  "# wire feed speed = 1200 mm/min",
  "",
  "current [A],travel_speed [mm/s],bead_width [in]",
  "120,3,0.2",
  "150,3,0.25",
  "180,,0.26",
];

test("a published table is a study of its own: columns in any unit, the rest from its head", () => {
  const { definition, coupons, source } = readPublishedTable(study, [...table.slice(0, -1)].join("\n"));
  expect(source).toBe("invented for this test, table 2");
  expect(definition.factors.map(({ name }) => name)).toEqual(["current", "travel_speed"]);
  expect(definition.rig!.settings.wire_feed_speed).toEqual({ value: 1200, unit: "mm/min" });
  expect(definition.wire).toEqual({ ...study.wire, diameter: { value: 0.8, unit: "mm" } });
  expect(coupons.map(({ settings }) => settings)).toEqual([
    { current: 120, travel_speed: 180 },
    { current: 150, travel_speed: 180 },
  ]);
  expectDigits(measuredOf(coupons[1]!, "bead_width")!, 6.35, 10);
});

test("its beads teach, as far as another rig can", () => {
  const older = readPublishedTable(study, table.slice(0, -1).join("\n"));
  const model = buildOutcomeModel({ definition: study, coupons: [] }, { older });
  expect(model.transfer!.coupons).toBe(2);
  const plain = buildOutcomeModel({ definition: study, coupons: [] });
  const doubt = ({ posteriors }: typeof model) => Math.hypot(...posteriors[0]!.root);
  expect(doubt(model)).toBeLessThan(doubt(plain));
});

test.each([
  [table, /paper.csv:8, "travel_speed"/],
  [
    [head, ...table.slice(4)],
    /paper.csv:2: does not tell wire_feed_speed.*# wire_feed_speed = 10 m\/min above the header/,
  ],
  [[head, "# wire_feed_speed = fast", ...table.slice(4, 7)], /paper.csv:2: "fast"/],
  [
    [...table.slice(0, 4), "current [A],travel_speed [mm/s]", "120,3"],
    /holds no result of this study: bead_width/,
  ],
  [[head], /is empty/],
])("what is wrong with a table is told with its line", (lines, told) => {
  expect(() => readPublishedTable(study, lines.join("\n"), { file: "paper.csv" })).toThrow(told);
});
