import { expect, test } from "vitest";
import { importCsv } from "../../../lib/study/csv/index.js";
import { CouponNumbers } from "../../../lib/study/record/index.js";
import { newStudy } from "../support.js";

test("the next coupon follows the highest number in use, whatever else is in use", () => {
  const numbers = new CouponNumbers(["C002", "ring", "C17", `C${"9".repeat(400)}`, "c99"]);
  expect(numbers.next()).toBe("C018");
  numbers.take("C1000");
  expect(numbers.next()).toBe("C1001");
  expect(new CouponNumbers([]).next()).toBe("C001");
});

test("rows without a coupon are numbered on, and the same file again is known by its settings and results", () => {
  const study = newStudy();
  const rows = Array.from({ length: 40 }, (_, i) => `${91 + i},100,${620 + 20 * i},small,${5 + i / 100},2`);
  const file = `current [A],travel_speed [mm/min],wire_feed_speed [mm/min],cup,bead_width [mm],bead_height [mm]\n${rows.join("\n")}\n`;
  const first = importCsv(study, file);
  expect(first.study.coupons.map(({ id }) => id).slice(-2)).toEqual(["C039", "C040"]);
  const again = importCsv(first.study, file);
  expect(again.study.coupons).toHaveLength(40);
  expect(again.skipped).toHaveLength(40);
});
