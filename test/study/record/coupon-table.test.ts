import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import {
  appendEntries,
  attachFile,
  couponTable,
  summariseResponses,
  verifyAttachments,
} from "../../../lib/study/index.js";
import { expectDigits } from "../../support/digits.js";
import { faultsOf, newFolder, newStudy } from "../support.js";

const settings = { current: 120, travel_speed: 100, wire_feed_speed: 1000, cup: "small" };

/** Widths 5, 6, 7 on day 1 and 8 on day 2; a voided coupon and one not yet run. */
function study() {
  const logged = (width: number, day: string, sound: boolean) => ({
    kind: "logged" as const,
    values: { ...settings, bead_width: width, day, sound_bead: sound },
  });
  const made = appendEntries(newStudy(), [
    logged(5, "1", true),
    logged(6, "1", true),
    { ...logged(7, "1", false), readings: { bead_height: [2, 3] } },
    {
      ...logged(8, "2", true),
      units: { arc_voltage: "V" },
      values: { ...logged(8, "2", true).values, arc_voltage: 12 },
    },
    logged(99, "2", true),
    { kind: "planned", values: settings },
  ]);
  return appendEntries(made, [{ kind: "voided", coupon: "C005", reason: "wrong plate" }]);
}

describe("couponTable", () => {
  const table = couponTable(study());

  test("has a row per coupon in run order and null for what was not measured", () => {
    expect(table.array("coupon")).toEqual(["C001", "C002", "C003", "C004", "C005", "C006"]);
    expect(table.array("bead_width")).toEqual([5, 6, 7, 8, 99, null]);
    expect(table.array("bead_height")).toEqual([null, null, 2.5, null, null, null]);
    expect(table.array("bead_height_readings")).toEqual([null, null, 2, null, null, null]);
    expect(table.array("arc_voltage")).toEqual([null, null, null, 12, null, null]);
    expect(table.array("sound_bead")).toEqual([true, true, false, true, true, null]);
  });
});

describe("summariseResponses", () => {
  test("gives count, mean, standard deviation and range per group of logged coupons", () => {
    const rows = summariseResponses(study(), ["day"]);
    const width = rows.filter(({ response }) => response === "bead_width");
    expect(width).toEqual([
      { group: { day: "1" }, response: "bead_width", coupons: 3, mean: 6, sd: 1, lowest: 5, highest: 7 },
      { group: { day: "2" }, response: "bead_width", coupons: 1, mean: 8, lowest: 8, highest: 8 },
    ]);
    const sound = rows.find(({ response, group }) => response === "sound_bead" && group.day === "1");
    expectDigits(sound!.mean, 2 / 3, 14);
  });

  test("gives one group without grouping columns, and refuses an unknown one", () => {
    expect(summariseResponses(study()).map(({ response, coupons }) => [response, coupons])).toEqual([
      ["bead_width", 4],
      ["bead_height", 1],
      ["sound_bead", 4],
    ]);
    expect(faultsOf(() => summariseResponses(study(), ["dya"]))).toEqual([
      'there is no column "dya"; did you mean "day"?',
    ]);
  });
});

describe("attachFile", () => {
  test("keeps a copy that shows when it is changed, and never overwrites another file", () => {
    const source = join(newFolder(), "photo.jpg");
    writeFileSync(source, "first");
    const one = attachFile(study(), source, { coupon: "C001" });
    writeFileSync(source, "second");
    const two = attachFile(one, source, { coupon: "C002", note: "after etching" });
    const files = two.entries.flatMap((entry) => (entry.kind === "attached" ? [entry.file] : []));
    expect(new Set(files).size).toBe(2);
    expect(verifyAttachments(two)).toEqual([]);
    writeFileSync(join(two.folder, "attachments", "photo.jpg"), "painted over");
    expect(verifyAttachments(two).map(({ message }) => message)).toEqual([
      "attachments/photo.jpg (entry 8) was changed since it was logged",
    ]);
  });

  test("refuses an unknown coupon and a missing file", () => {
    const source = join(newFolder(), "trace.csv");
    expect(faultsOf(() => attachFile(study(), source))).toEqual([`there is no file ${source}`]);
    writeFileSync(source, "x");
    expect(faultsOf(() => attachFile(study(), source, { coupon: "C9" }))[0]).toContain(
      "there is no coupon C9",
    );
  });
});
