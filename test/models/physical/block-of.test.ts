import { describe, expect, test } from "vitest";
import { blockOf } from "../../../lib/models/index.js";
import { fc } from "../../support/properties.js";
import { coupon } from "../../support/studies.js";

describe("blockOf", () => {
  test("joins every block column, however the record happens to order them", () => {
    expect(blockOf(coupon("C", { blocks: { day: "4", gas_cylinder: "2" } }))).toBe("day 4, gas cylinder 2");
    expect(blockOf(coupon("C", { blocks: { gas_cylinder: "2", day: "4" } }))).toBe("day 4, gas cylinder 2");
  });

  test("is the day of logging without block columns", () => {
    expect(blockOf(coupon("C", { time: "2026-03-09T14:00:00Z" }))).toBe("2026-03-09");
  });

  test("tells two coupons apart exactly when some column differs", () => {
    const label = fc.constantFrom("1", "2", "3");
    const blocks = fc.record({ day: label, spool: label });
    fc.assert(
      fc.property(blocks, blocks, (a, b) => {
        const same = a.day === b.day && a.spool === b.spool;
        expect(blockOf(coupon("A", { blocks: a })) === blockOf(coupon("B", { blocks: b }))).toBe(same);
      }),
    );
  });
});
