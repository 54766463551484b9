import { describe, expect, test } from "vitest";
import { errorTexts } from "../../../lib/models/bead/index.js";
import { fitStudy } from "../../../lib/models/index.js";
import { volumeText } from "../../../lib/window/index.js";
import { fc } from "../../support/properties.js";
import { migBeads, migStudy } from "./together-laws.js";

describe("errors that a sentence compares", () => {
  test("print apart where they differ, with the usual digits where those do", () => {
    expect(errorTexts([0.06561, 0.06643], "1")).toEqual(["6.56 %", "6.64 %"]);
    expect(errorTexts([0.058, 0.054], "1")).toEqual(["5.8 %", "5.4 %"]);
    expect(errorTexts([0.2111, 0.2114], "mm")).toEqual(["0.2111 mm", "0.2114 mm"]);
    expect(errorTexts([0.066, 0.066], "1")).toEqual(["6.6 %", "6.6 %"]);
  });

  test("keep their order", () => {
    fc.assert(
      fc.property(
        fc.double({ min: 0.001, max: 0.9, noNaN: true }),
        fc.double({ min: 0.001, max: 0.9, noNaN: true }),
        (a, b) => {
          const [x, y] = errorTexts([a, b], "1").map(Number.parseFloat);
          expect(Math.sign(x! - y!) === 0 || Math.sign(x! - y!) === Math.sign(a - b)).toBe(true);
        },
      ),
    );
  });
});

test("a share at the end of its interval is said as a bound", () => {
  expect(volumeText({ share: 0.067, interval: [0.067, 0.088] }, "that chance")).toBe(
    "At least 6.7 % of all allowed settings keep that chance, doubt counted against them; up to 8.8 % may (90 % interval).",
  );
  expect(volumeText({ share: 0.067, interval: [0.05, 0.088] }, "that chance")).toBe(
    "6.7 % of all allowed settings keep that chance (90 % interval 5.0 % to 8.8 %).",
  );
});

test("one feed that no rig runs costs its own coupon and no form", { timeout: 60_000 }, () => {
  const definition = {
    ...migStudy,
    rig: { settings: { arc_voltage: { value: 24, unit: "V" } } },
    responses: [...migStudy.responses],
  };
  const beads = migBeads("power", 3, 20, 24);
  const spoilt = beads.map((bead, i) =>
    i === 5 ? { ...bead, settings: { ...bead.settings, wire_feed_speed: 900 } } : bead,
  );
  const names = (coupons: typeof beads) =>
    fitStudy({ definition, coupons }).responses[0]!.forms.map(({ form }) => form);
  expect(names(spoilt)).toEqual(names(beads));
  expect(names(spoilt)).toContain("energy-balance");
  const { findings, responses } = fitStudy({ definition, coupons: spoilt });
  expect(findings.map(({ message }) => message).join("\n")).toMatch(
    /M6 is left out of the fit: wire feed speed must be above 0 and at most 600 mm\/s/,
  );
  expect(responses[0]!.forms[0]!.n).toBe(23);
});
