import { expect, test } from "vitest";
import { fromLinkScale, type LinkScale, toLinkScale } from "../../../lib/models/outcome/response-link.js";
import { expectDigits } from "../../support/digits.js";
import { fc } from "../../support/properties.js";

const finite = (min: number, max: number) => fc.double({ min, max, noNaN: true });
const anyScale = (log: boolean): fc.Arbitrary<LinkScale> =>
  fc.record({ log: fc.constant(log), origin: finite(-3, 3), scale: finite(0.2, 4) });

test.each([true, false])("values survive the way to a link's scale and back (logarithm: %s)", (log) => {
  fc.assert(
    fc.property(anyScale(log), finite(0.1, 50), (scale, value) => {
      expectDigits(fromLinkScale(scale, toLinkScale(scale, value)), value, 10);
    }),
  );
});

test("the scale of a width in mm with unit slope is its logarithm; below 0 lies nothing", () => {
  const link = { log: true, origin: 0, scale: 1 };
  expectDigits(toLinkScale(link, 6), 1.791759469228055, 14); // ln 6
  expect(toLinkScale(link, 0)).toBe(Number.NEGATIVE_INFINITY);
  expect(toLinkScale(link, -2)).toBe(Number.NEGATIVE_INFINITY);
});
