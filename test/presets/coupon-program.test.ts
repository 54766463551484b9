import { describe, expect, test } from "vitest";
import {
  type CouponProgram,
  type CouponShape,
  couponProgram,
  couponProgramText,
  drawCouponProgram,
  type MachineMap,
} from "../../lib/presets/index.js";
import { appendEntries, type Coupon, type Study } from "../../lib/study/index.js";
import { fixedClock, newStudy } from "../study/support.js";
import { fc } from "../support/properties.js";
import { type Deed, runProgram } from "../support/rs274.js";
import { fullMachine, fullOutputs, plainMachine } from "./sample.js";

const study = newStudy({ rig: { settings: { arc_voltage: "12.5 V", standoff: "3 mm" } }, limits: [] });
const settings = { current: 120, travel_speed: 120, wire_feed_speed: 900, cup: "large" };

function coupons(
  ids: readonly string[],
  change: Readonly<Record<string, number | string>> = {},
): readonly Coupon[] {
  const blank = {
    state: "planned" as const,
    blocks: {},
    context: {},
    results: {},
    notes: [],
    time: "",
    seq: 1,
  };
  return ids.map((id, i) => ({ ...blank, id, order: i + 1, settings: { ...settings, ...change } }));
}
const plate = { width: 300, depth: 200, margin: 10, spacing: 10 };
const bead: CouponShape = { kind: "bead", length: 100 };
const wall: CouponShape = { kind: "wall", length: 80, layers: 3, rise: 1.5 };
const of = (
  ids: readonly string[],
  {
    shape = bead,
    machine = plainMachine,
    from = study,
    change = {},
    ...more
  }: Partial<Parameters<typeof couponProgram>[2]> & {
    readonly from?: Study;
    readonly change?: Readonly<Record<string, number | string>>;
  } = {},
): CouponProgram => couponProgram(from, coupons(ids, change), { plate, ...more, shape, machine });
const run = (program: CouponProgram, options = {}): readonly Deed[] =>
  runProgram(couponProgramText(program, options), {
    outputs: fullOutputs,
    extended: program.machine !== plainMachine,
  });

/** What moves with the arc on, and what without. */
function parted(deeds: readonly Deed[]): { readonly lit: readonly Deed[]; readonly dark: readonly Deed[] } {
  const lit: Deed[] = [];
  const dark: Deed[] = [];
  let on = false;
  for (const deed of deeds) {
    if (deed.kind === "switch")
      for (const { letter, value } of deed.words)
        if (letter === "M" && (value === 3 || value === 5)) on = value === 3;
    if (deed.kind === "rapid" || deed.kind === "feed" || deed.kind === "arc") (on ? lit : dark).push(deed);
  }
  expect(on).toBe(false);
  return { lit, dark };
}
type Move = Deed & { readonly kind: "feed" };

describe("a coupon program, run by the rules of NISTIR 6556 without any addition", () => {
  test("lays every coupon at its travel speed and stand-off, stops before each, and ends with everything off", () => {
    const deeds = run(of(["A", "B", "C"], { change: { travel_speed: 90 } }));
    const lit = parted(deeds).lit as readonly Move[];
    expect(lit).toHaveLength(3);
    for (const { kind, from, to, speed } of lit) {
      expect([kind, speed, from.z, to.z, to.x - from.x]).toEqual(["feed", 90, 3, 3, 100]);
    }
    expect(deeds.filter(({ kind }) => kind === "stop")).toHaveLength(3);
    const last = deeds.filter((deed) => deed.kind === "switch").slice(-2);
    expect(last.flatMap(({ words }) => words.map(({ letter, value }) => `${letter}${value}`))).toEqual([
      "M5",
      "M9",
    ]);
  });

  test("moves without arc at the safe height, but for straight down to a start and straight up from an end", () => {
    for (const shape of [bead, wall, { kind: "ring", diameter: 40, layers: 2, rise: 1.6 }] as const) {
      const { dark } = parted(run(of(["A", "B"], { shape })));
      for (const deed of dark.slice(1)) {
        const { from, to } = deed as Move;
        const level = from.z >= 30 && to.z >= 30;
        expect(level || (from.x === to.x && from.y === to.y)).toBe(true);
        if (deed.kind === "rapid") expect(to.z).toBeGreaterThanOrEqual(30);
      }
    }
  });

  test("a wall turns about layer by layer, waits between, and rises; a ring is closed and runs over its start", () => {
    const deeds = run(of(["A"], { shape: wall, dwell: 42 }));
    const lit = parted(deeds).lit as readonly Move[];
    expect(lit.map(({ from, to }) => Math.sign(to.x - from.x))).toEqual([1, -1, 1]);
    expect(lit.map(({ to }) => to.z)).toEqual([3, 4.5, 6]);
    expect(deeds.filter((deed) => deed.kind === "dwell" && deed.time === 42)).toHaveLength(2);

    const turns = parted(run(of(["A"], { shape: { kind: "ring", diameter: 40, layers: 2, rise: 1.6 } }))).lit;
    expect(turns).toHaveLength(4);
    for (const [whole, over] of [turns.slice(0, 2), turns.slice(2)]) {
      expect(whole).toMatchObject({ kind: "arc", turn: 1 });
      const [{ from, to, centre }, more] = [whole as Deed & { kind: "arc" }, over as Move];
      expect(to).toEqual(from);
      expect(Math.hypot(from.x - centre![0], from.y - centre![1])).toBeCloseTo(20, 3);
      // 5 mm along a circle of 20 mm: a chord of 2 x 20 x sin(5/40).
      expect(Math.hypot(more.to.x - from.x, more.to.y - from.y)).toBeCloseTo(40 * Math.sin(5 / 40), 3);
    }
  });

  test("an overhang leans by h tan(phi) a layer, a ramp goes from one stand-off to the other", () => {
    const shape = { kind: "overhang", length: 60, layers: 6, rise: 1.5, angle: 15, every: 2 } as const;
    const lit = parted(run(of(["A"], { shape }))).lit as readonly Move[];
    const shifts = lit.slice(1).map(({ to }, i) => to.y - lit[i]!.to.y);
    // h = 1.5 mm: 15 deg 0.402, 30 deg 0.866 mm a layer (by hand, h tan phi).
    expect(shifts.map((shift) => shift.toFixed(3))).toEqual(["0.000", "0.402", "0.402", "0.866", "0.866"]);
    const ramp = parted(run(of(["A"], { shape: { kind: "ramp", length: 90, from: 2, to: 6 } })))
      .lit as readonly Move[];
    expect([ramp[0]!.from.z, ramp[0]!.to.z]).toEqual([2, 6]);
  });

  test("with dry it makes the same moves and switches and sets nothing", () => {
    const program = of(["A", "B"], { shape: wall, machine: fullMachine });
    const moves = (deeds: readonly Deed[]) =>
      deeds.flatMap((deed) => ("to" in deed ? [[deed.kind, deed.from, deed.to, deed.speed]] : []));
    const dry = run(program, { dry: true });
    expect(moves(dry)).toEqual(moves(run(program)));
    expect(dry.filter(({ kind }) => kind === "switch")).toEqual([]);
  });

  test("keeps to plate, axes and fastest motion wherever it is not refused", () => {
    const size = fc.double({ min: 5, max: 160, noNaN: true });
    const small = fc.integer({ min: 1, max: 4 });
    const shapes: fc.Arbitrary<CouponShape> = fc.oneof(
      size.map((length) => ({ kind: "bead" as const, length })),
      fc
        .tuple(size, small)
        .map(([d, layers]) => ({ kind: "ring" as const, diameter: 10 + d, layers, rise: 1.7 })),
      fc.tuple(size, small).map(([length, layers]) => ({ kind: "wall" as const, length, layers, rise: 1.3 })),
      fc
        .tuple(size, fc.constantFrom(2, 9))
        .map(([length, to]) => ({ kind: "ramp" as const, length, from: 5, to })),
      fc.tuple(size, small).map(([length, every]) => ({
        kind: "overhang" as const,
        length,
        layers: 9,
        rise: 2,
        angle: 7,
        every,
      })),
    );
    let written = 0;
    fc.assert(
      fc.property(
        shapes,
        size,
        size,
        fc.integer({ min: 1, max: 7 }),
        fc.double({ min: 0, max: 20, noNaN: true }),
        (shape, width, depth, count, margin) => {
          const own = { width: 40 + 2 * width, depth: 40 + 2 * depth, margin, spacing: margin };
          let program: CouponProgram;
          try {
            program = of(
              Array.from({ length: count }, (_, i) => `C${i}`),
              { shape, plate: own },
            );
          } catch (error) {
            expect((error as Error).message).toMatch(/leaves the plate|outside its travel/);
            return;
          }
          written++;
          const { axes, plate: corner } = plainMachine;
          // The first move goes straight up from wherever the tip is.
          for (const deed of run(program)
            .filter((one) => "to" in one)
            .slice(1)) {
            // A circle's furthest points, not its ends alone.
            const { centre } = deed;
            const r = centre === undefined ? 0 : Math.hypot(deed.to.x - centre[0], deed.to.y - centre[1]);
            const xs = centre === undefined ? [deed.to.x] : [centre[0] - r, centre[0] + r];
            const ys = centre === undefined ? [deed.to.y] : [centre[1] - r, centre[1] + r];
            for (const [places, axis, side] of [
              [xs, "x", own.width],
              [ys, "y", own.depth],
            ] as const)
              for (const place of places) {
                expect(place).toBeGreaterThanOrEqual(margin - 1e-3);
                expect(place).toBeLessThanOrEqual(side - margin + 1e-3);
                expect(place + corner[axis]).toBeLessThanOrEqual(axes[axis].max + 1e-3);
              }
            expect(deed.to.z + corner.z).toBeLessThanOrEqual(axes.z.max);
            if (deed.kind !== "rapid") expect(deed.speed).toBeLessThanOrEqual(3000);
          }
          // Boxes keep their distance.
          const boxes = program.coupons.map(({ box }) => box);
          boxes.forEach((a, i) => {
            for (const b of boxes.slice(i + 1)) {
              const apart = Math.max(
                b.x - a.x - a.width,
                a.x - b.x - b.width,
                b.y - a.y - a.depth,
                a.y - b.y - b.depth,
              );
              expect(apart).toBeGreaterThanOrEqual(margin - 1e-9);
            }
          });
        },
      ),
      { numRuns: 60 },
    );
    expect(written).toBeGreaterThan(10);
  });

  test("holds names as comments that are never words, and draws them as text", () => {
    const plain = run(of(["A", "B"], { machine: fullMachine }));
    const hostile = fc.oneof(
      fc.string({ unit: "binary" }),
      fc.constantFrom(
        ") M3 (",
        ")\nG0 X999\n(",
        "%",
        "; G1 Z-9",
        "\r\nM3",
        "MSG,stop",
        "N10 M2",
        "#1=2",
        "/M3",
        "[1]",
        "<script>",
        "（Ｍ３）",
        "\u202eM3",
        "b".repeat(900),
      ),
    );
    fc.assert(
      fc.property(hostile, hostile, (id, cup) => {
        const other = newStudyWithLevel(cup);
        const program = of([id, "B"], { machine: fullMachine, from: other, change: { cup } });
        const text = couponProgramText(program);
        expect(text).toMatch(/^[\n\x20-\x7e]*$/);
        expect(text).not.toMatch(/[%;<>#[\]]|\(\s*(MSG|DEBUG|PRINT|LOG)/i);
        expect(run(program).map(({ line: _, ...deed }) => deed)).toEqual(
          plain.map(({ line: _, ...deed }) => deed),
        );
        const svg = drawCouponProgram(program);
        expect(
          svg
            .match(/<[a-z]+/g)!
            .every((tag) =>
              ["<svg", "<title", "<rect", "<text", "<circle", "<line", "<polyline", "<path"].includes(tag),
            ),
        ).toBe(true);
      }),
      { numRuns: 40 },
    );
  });
});

/** The study with a category level of some name. */
function newStudyWithLevel(cup: string): Study {
  const factors = study.definition.factors.map((factor) =>
    factor.name === "cup" ? { ...factor, levels: ["small", cup] } : factor,
  );
  return { ...study, definition: { ...study.definition, factors } };
}

describe("a coupon program refuses", () => {
  test.each<[string, Parameters<typeof of>[1], RegExp]>([
    [
      "what leaves the plate",
      { plate: { ...plate, depth: 60 } },
      /coupon 5 of 6 \(112 x 12 mm, bead and all\) leaves the plate of 300 x 60 mm.*4 fit.*--coupons 4/,
    ],
    [
      "a coupon longer than the plate",
      { shape: { kind: "bead", length: 290 } },
      /coupon 1 of 6 .* leaves the plate/,
    ],
    [
      "a place beyond an axis",
      { plate: { ...plate, width: 900 } },
      /coupon C3: X \d+ mm of the machine is outside its travel, 0 to 400 mm/,
    ],
    [
      "a safe height beyond an axis",
      { safeHeight: 170 },
      /coupon C1: Z 190 mm of the machine is outside its travel.*the safe height counts too/,
    ],
    [
      "a speed beyond the machine's",
      { machine: { ...plainMachine, fastest: "1.5 mm/s" } },
      /coupon C1: travel speed 120 mm\/min is faster than the machine's 90 mm\/min/,
    ],
    [
      "a value beyond the machine's",
      { machine: withHigh(110) },
      /coupon C1: current 120 A is beyond what the machine map allows, 5 to 110 A/,
    ],
    [
      "a setting beyond the plan's",
      { change: { current: 171 } },
      /coupon C1: current 171 A is outside the plan's current, 90 to 150 A/,
    ],
    [
      "a level that is none of the plan's",
      { change: { cup: "huge" } },
      /coupon C1: cup "huge" is no level of the plan/,
    ],
    [
      "an overhang too steep",
      { shape: { kind: "overhang", length: 60, layers: 20, rise: 1.5, angle: 20, every: 2 } },
      /lean 180 deg at the top, and 60 is the most/,
    ],
  ])("%s", (_, options, told) => {
    expect(() => of(["C1", "C2", "C3", "C4", "C5", "C6"], options)).toThrow(told);
  });

  test("settings that break a limit of the study, ramps beyond its stand-off, and a coupon without travel speed", () => {
    const limited = newStudy({
      rig: { settings: { arc_voltage: "12.5 V", standoff: "3 mm" } },
      limits: [{ quantity: "arc_energy", unit: "kJ/mm", max: 0.7 }],
    });
    // 12.5 V x 120 A / 2 mm/s = 0.75 kJ/mm.
    expect(() => of(["C1"], { from: limited })).toThrow(
      /coupon C1: arc_energy of 0\.75 kJ\/mm breaks the study's limit/,
    );
    const varied = newStudy({
      factors: [
        { name: "travel_speed", unit: "mm/min", low: 80, high: 160 },
        { name: "standoff", unit: "mm", low: 2, high: 5 },
      ],
      limits: [],
    });
    const ramp = { kind: "ramp", length: 80, from: 2, to: 6 } as const;
    expect(() =>
      couponProgram(
        varied,
        coupons(["C1"]).map((one) => ({ ...one, settings: { travel_speed: 100, standoff: 3 } })),
        { plate, shape: ramp, machine: plainMachine },
      ),
    ).toThrow(/an end of the ramp, 6 mm is outside the plan's standoff, 2 to 5 mm/);
    expect(() =>
      couponProgram(
        varied,
        coupons(["C1"]).map((one) => ({ ...one, settings: { standoff: 3 } })),
        { plate, shape: bead, machine: plainMachine },
      ),
    ).toThrow(/coupon C1 has no travel_speed/);
  });
});

function withHigh(high: number): MachineMap {
  return { ...plainMachine, values: { current: { ...plainMachine.values.current!, high } } };
}

test("a program carries its cautions and what the machine cannot set", () => {
  const planned = appendEntries(study, [{ kind: "planned", coupon: "P1", values: settings }], {
    clock: fixedClock,
  });
  const text = couponProgramText(
    couponProgram(planned, planned.coupons, { plate, shape: bead, machine: plainMachine }),
  );
  for (const word of [
    /CAUTION These settings are estimates/,
    /local codes/,
    /Arc radiation/,
    /Inert gas/,
    /Run it dry first/,
    /unattended/,
    /NOT CARRIED .*wire_feed_speed/,
  ])
    expect(text.replace(/\)\n\(\.\./g, "")).toMatch(word);
});
