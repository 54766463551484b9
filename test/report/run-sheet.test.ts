import { mkdtempSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { beforeAll, describe, expect, test } from "vitest";
import { appendEntries, createStudy, exportCsv, importCsv, type Study } from "../../lib/index.js";
import { papers, type RunSheet, renderRunSheet, runSheet } from "../../lib/report/index.js";
import { expectDigits } from "../support/digits.js";
import { tigDefinition } from "../support/studies.js";

const cautions = ["Mind the arc & the <gas>."];

/** A study of two settings with three coupons planned, the second of which changes one setting. */
function planned(): Study {
  const definition = tigDefinition({
    factors: [
      { name: "travel_speed", unit: "mm/min", low: 60, high: 240 },
      { name: "wire_feed_speed", unit: "m/min", low: 0.5, high: 2 },
    ],
    gas: { code: "I1", flow: "10 L/min" },
    rig: { settings: { coupon_length: "100 mm" } },
    costs: { currency: "EUR", minutesPerCoupon: 9, gasPerM3: 10, labourPerHour: 40, materialPerCoupon: 2 },
  });
  const study = createStudy(mkdtempSync(join(tmpdir(), "beadbench-sheet-")), definition);
  return appendEntries(
    study,
    [
      [100, 1.5],
      [200, 1.5],
      [200, 1],
    ].map(([travel_speed, wire_feed_speed], i) => ({
      kind: "planned" as const,
      values: { travel_speed: travel_speed!, wire_feed_speed: wire_feed_speed! },
      role: i === 0 ? "control" : "corner",
      note: "a long reason why",
    })),
  );
}

describe("a run sheet", () => {
  let study: Study;
  let sheet: RunSheet;
  beforeAll(() => {
    study = planned();
    sheet = runSheet(study, study.coupons, cautions);
  });

  test("holds every coupon in run order with its settings, and marks what changes", () => {
    expect(sheet.cards.map(({ id, role }) => [id, role])).toEqual([
      ["C001", "control coupon: the same settings every time"],
      ["C002", "corner"],
      ["C003", "corner"],
    ]);
    expect(sheet.cards[1]!.settings).toEqual([
      { name: "travel speed", value: "200", unit: "mm/min", changed: true },
      { name: "wire feed speed", value: "1.5", unit: "m/min", changed: false },
    ]);
    expect(sheet.cards[0]!.settings.some(({ changed }) => changed)).toBe(false);
  });

  test("adds up time, gas, wire and price as arithmetic does", () => {
    const arc = [1, 0.5, 0.5];
    const gas = arc.map((minutes) => 10 * (minutes + 0.5)).reduce((a, b) => a + b);
    const { totals } = sheet;
    expect(totals.minutes).toBe(27);
    expectDigits(totals.gas, gas, 12);
    expectDigits(totals.wire, 1.5 * 1 + 1.5 * 0.5 + 1 * 0.5, 12);
    expectDigits(totals.price!, 3 * 2 + (27 / 60) * 40 + (gas / 1000) * 10, 12);
  });

  test.each(papers)(
    "is one page for %s with its cautions, a box for each result, and nothing fetched",
    (paper) => {
      const page = renderRunSheet(sheet, { paper, currency: "EUR" });
      expect(page).toContain(`@page{size:${paper};`);
      expect(page).toContain("Mind the arc &amp; the &lt;gas&gt;.");
      expect(page.match(/class="card[ "]/g)).toHaveLength(3);
      expect(page.match(/class="card control"/g)).toHaveLength(1);
      for (const { name } of sheet.boxes) expect(page.split(`>${name}`).length - 1).toBe(3);
      expect(page).not.toMatch(/https?:|<script|src=/);
      expect(page).not.toContain("a long reason why");
    },
  );

  test("as CSV it is filled in and imported, stations and all", () => {
    const [head, ...rows] = exportCsv(study, { coupons: study.coupons, toFillIn: 3 }).trim().split("\n");
    expect(head).toContain("bead_width_1 [mm],bead_width_2 [mm],bead_width_3 [mm]");
    expect(rows.join()).not.toContain("reason");
    const at = head!.split(",").indexOf("bead_width_1 [mm]");
    const arc = head!.split(",").indexOf("arc_time [s]");
    const filled = rows.map((row) => {
      const cells = row.split(",");
      cells.splice(at, 3, "5.9", "6.1", "6");
      cells.splice(arc, 1, "37.5");
      return cells.join(",");
    });
    const after = importCsv(study, [head, ...filled].join("\n"), { file: "sheet.csv" }).study;
    const { bead_width } = after.coupons[0]!.results;
    expect(bead_width).toMatchObject({ scatter: { readings: [5.9, 6.1, 6] } });
    expect(after.coupons[0]!.context.arc_time).toEqual({ value: 37.5, unit: "s" });
    const again = exportCsv(after, { coupons: after.coupons, toFillIn: 3 }).split("\n")[0]!;
    expect(again.split("arc_time [s]")).toHaveLength(2);
    expect(after.coupons.every(({ state }) => state === "logged")).toBe(true);
  });
});
