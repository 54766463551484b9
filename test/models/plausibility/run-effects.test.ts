import { describe, expect, test } from "vitest";
import { checkStudy, type StudyCheck } from "../../../lib/models/index.js";
import { type RandomStream, randomStream } from "../../../lib/numeric/index.js";
import type { Change, Coupon } from "../../../lib/study/index.js";
import { coupon, tigDefinition } from "../../support/studies.js";

const definition = tigDefinition({ blocks: ["day"] });

/** 24 beads of a law with a bend on two days, four controls a day; `act` is what acts beside the settings, as a logarithm. */
function beads(
  stream: RandomStream,
  act: (place: number, day: number) => number,
  sd = 0.04,
): readonly Coupon[] {
  return Array.from({ length: 24 }, (_, i) => {
    const day = i < 12 ? 1 : 2;
    const control = i % 3 === 0;
    const [a, b, c] = control ? [0.5, 0.5, 0.5] : [stream.uniform(), stream.uniform(), stream.uniform()];
    const width = 4.5 + 2.5 * a - 1.5 * b + 0.8 * a * a + act(i + 1, day) * 6;
    const height = (1.2 + 1.6 * c - 0.5 * b) * Math.exp(sd * stream.normal());
    return coupon(`D${i + 1}`, {
      order: i + 1,
      blocks: { day: String(day) },
      settings: { current: 100 + 100 * a, travel_speed: 100 + 200 * b, wire_feed_speed: 0.6 + 1.4 * c },
      measured: { bead_width: width * Math.exp(sd * stream.normal()), bead_height: height },
    });
  });
}

const effectsOf = (coupons: readonly Coupon[], changes: readonly Change[] = []): StudyCheck["runEffects"] =>
  checkStudy({ definition, coupons, changes }).runEffects;

describe("what acts beside the settings", () => {
  test("a day with beads 8 % wider is told, its interval mostly holds 8 %", () => {
    let told = 0;
    let held = 0;
    for (let i = 0; i < 20; i++) {
      const [effect] = effectsOf(beads(randomStream(41).split(i), (_, day) => (day === 2 ? 0.08 : 0)));
      if (effect?.response !== "bead_width") continue;
      told++;
      if (effect.kind === "block" && effect.lower < 0.085 && effect.upper > 0.075) held++;
    }
    expect(told).toBeGreaterThanOrEqual(16);
    expect(held).toBeGreaterThanOrEqual(0.8 * told - 2);
  });

  test("in plain words", () => {
    const study = { definition, coupons: beads(randomStream(43), (_, day) => (day === 2 ? 0.1 : 0), 0.02) };
    const finding = checkStudy(study).findings.find(({ code }) => code === "block-effect");
    expect(finding?.message).toMatch(
      /^bead_width: beads \d+ % wider on day 2 than on the others, at the same settings \(95 % \d+ to \d+ %\)$/,
    );
  });

  test("wear of 0.8 % per coupon is told", () => {
    const coupons = beads(randomStream(47), (place) => -0.008 * place, 0.02);
    const finding = checkStudy({ definition, coupons }).findings.find(
      ({ code }) => code === "run-order-effect",
    );
    expect(finding?.message).toMatch(/^bead_width: beads 0\.\d % narrower per coupon in run order/);
  });

  test("beads that widen within each day, as the plate warms up, are told as that", () => {
    let told = 0;
    for (let i = 0; i < 10; i++) {
      const warming = (place: number): number => 0.012 * ((place - 1) % 12);
      const coupons = beads(randomStream(71).split(i), warming, 0.03);
      const finding = checkStudy({ definition, coupons }).findings.find(
        ({ code }) => code === "within-block-effect",
      );
      if (
        finding?.message.match(
          /^bead_width: beads \d+\.\d % wider from one coupon of a day to the next, at the same settings \(95 % .*\), \d+ % from the first coupon of a day to the last$/,
        )
      )
        told++;
    }
    expect(told).toBeGreaterThanOrEqual(8);
  });

  test("a logged change is told by its name", () => {
    const coupons = beads(randomStream(53), (place) => (place >= 8 ? 0.12 : 0), 0.02);
    const change = { seq: 9, time: "2026-01-01T09:00:00Z", what: "tungsten", before: "D8" };
    const [effect] = effectsOf(coupons, [change]);
    expect(effect).toMatchObject({ kind: "change", what: "tungsten before D8" });
  });

  test("nothing is told of nothing, but for 1 in 20", () => {
    const alarms = Array.from({ length: 40 }, (_, i) => effectsOf(beads(randomStream(59).split(i), () => 0)));
    expect(alarms.filter((effects) => effects.length > 0).length).toBeLessThanOrEqual(4);
  });
});

describe("settings that went with the day or the run order", () => {
  const held = (of: (i: number) => number): readonly Coupon[] =>
    beads(randomStream(61), () => 0).map((bead, i) => ({
      ...bead,
      settings: { ...bead.settings, wire_feed_speed: of(i) },
    }));
  const codesOf = (coupons: readonly Coupon[]) => checkStudy({ definition, coupons }).findings;

  test("by the day", () => {
    const finding = codesOf(held((i) => (i < 12 ? 0.8 : 1.6))).find(
      ({ code }) => code === "moved-with-block",
    );
    expect(finding?.message).toMatch(
      /^wire_feed_speed went with the day: 0\.8 m\/min only on day 1, 1\.6 m\/min only on day 2;/,
    );
  });

  test("by the run order", () => {
    const drifting = held((i) => 0.8 + 0.03 * i).map((bead) => ({ ...bead, blocks: {} }));
    expect(codesOf(drifting).map(({ code }) => code)).toContain("moved-with-run-order");
  });

  test("not where they were shuffled", () => {
    const codes = codesOf(beads(randomStream(67), () => 0)).map(({ code }) => code);
    expect(codes).not.toContain("moved-with-block");
    expect(codes).not.toContain("moved-with-run-order");
  });
});
