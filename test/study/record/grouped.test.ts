import { describe, expect, test } from "vitest";
import { groupRows, incidentTable, type Study, tallyIncidents } from "../../../lib/study/index.js";
import { fc } from "../../support/properties.js";

describe("groupRows", () => {
  test("keeps every row once, with the rows of its key, all in the order they come in", () => {
    fc.assert(
      fc.property(fc.array(fc.record({ key: fc.string({ maxLength: 2 }), n: fc.nat() })), (rows) => {
        const groups = groupRows(rows, ({ key }) => key);
        expect(groups.map(({ key }) => key)).toEqual([...new Set(rows.map(({ key }) => key))]);
        for (const { key, rows: own } of groups) expect(own).toEqual(rows.filter((row) => row.key === key));
      }),
    );
  });
});

describe("incidents", () => {
  const incident = (seq: number, what: string, more: Partial<Study["incidents"][number]> = {}) => ({
    seq,
    what,
    time: `2026-03-0${seq}T08:00:00Z`,
    outcome: "resumed" as const,
    ...more,
  });
  const incidents = [
    incident(1, "wire_stuck", { lostTime: { value: 20, unit: "min" } }),
    incident(2, "arc_lost"),
    incident(3, "wire_stuck", { lostTime: { value: 0.5, unit: "h" }, outcome: "scrapped", coupon: "C002" }),
    incident(4, "tungsten_touched", { note: "reground" }),
  ];

  test("stand in a table with the time lost in minutes, null where it was not told", () => {
    const table = incidentTable({ incidents });
    expect(table.array("lost_time")).toEqual([20, null, 30, null]);
    expect(table.array("coupon")).toEqual([null, null, "C002", null]);
    expect(table.array("note")).toEqual([null, null, null, "reground"]);
  });

  // Counted by hand.
  test("are counted by what happened, the most frequent first", () => {
    expect(tallyIncidents({ incidents })).toEqual([
      { what: "wire_stuck", incidents: 2, scrapped: 1, lostTime: 50, timed: 2 },
      { what: "arc_lost", incidents: 1, scrapped: 0, lostTime: 0, timed: 0 },
      { what: "tungsten_touched", incidents: 1, scrapped: 0, lostTime: 0, timed: 0 },
    ]);
    expect(tallyIncidents({ incidents: [] })).toEqual([]);
  });
});
