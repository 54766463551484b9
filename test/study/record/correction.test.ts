import { describe, expect, test } from "vitest";
import { appendEntries, correctionOf, type EntryBody } from "../../../lib/study/index.js";
import { results } from "../../support/studies.js";
import { faultsOf, newStudy } from "../support.js";

const settings = { current: 120, travel_speed: 100, wire_feed_speed: 1000, cup: "small" };
const entries: readonly EntryBody[] = [
  { kind: "planned", values: settings },
  {
    kind: "logged",
    coupon: "C001",
    values: { sound_bead: true, wire_feed_speed: 40 },
    units: { wire_feed_speed: "in/min" },
  },
  { kind: "logged", coupon: "C001", values: { bead_width: 5 }, readings: { bead_height: [2, 2.1] } },
];
const study = appendEntries(newStudy(), entries);

describe("correctionOf", () => {
  test.each([
    [{ values: { bead_width: 5.5 } }, 3],
    [{ readings: { bead_height: [2.2] } }, 3],
    [{ values: { sound_bead: false }, units: { wire_feed_speed: "mm/min" } }, 2],
    [{ values: { wire_feed_speed: 42 } }, 2],
    [{ values: { current: 110 } }, 1],
  ])("names the latest entry that holds what %j changes", (change, entry) => {
    expect(correctionOf(study, "C001", { ...change, reason: "read again" })).toEqual({
      kind: "corrected",
      entry,
      ...change,
      reason: "read again",
    });
  });

  test("takes a number without unit in the unit of the entry it corrects", () => {
    const body = correctionOf(study, "C001", { values: { wire_feed_speed: 42 }, reason: "read again" });
    // 42 in/min x 25.4 mm/in.
    expect(appendEntries(study, [body]).coupons[0]?.settings.wire_feed_speed).toBe(1066.8);
  });

  test("says what to do when no entry holds the columns", () => {
    const correct = (coupon: string) => () =>
      correctionOf(study, coupon, { values: { looks: 3, bead_width: 5 }, reason: "x" });
    expect(faultsOf(correct("C001"))).toEqual([
      "no entry of coupon C001 holds looks and bead_width; log the value, or correct one column at a time",
    ]);
    expect(faultsOf(correct("C7"))).toEqual(["there is no coupon C7"]);
  });

  test("finds nothing in an entry that was voided", () => {
    const voided = appendEntries(newStudy(), [...entries]);
    const after = appendEntries(voided, [{ kind: "voided", entry: 3, reason: "another coupon" }]);
    expect(after.coupons[0]?.results).toEqual(results({ passed: { sound_bead: true } }));
    expect(
      faultsOf(() => correctionOf(after, "C001", { values: { bead_width: 6 }, reason: "x" })),
    ).toHaveLength(1);
  });
});
