import { describe, expect, test } from "vitest";
import { attempts, counters, runningAt, runningLedger } from "../../../lib/endurance/index.js";
import { appendEntries, type EntryBody } from "../../../lib/study/index.js";
import { expectDigits } from "../../support/digits.js";
import { rigStudy, run } from "../rig.js";

const hours = (value: number) => ({ value, unit: "h" });
const step = (event: "started" | "progress" | "ended", more: object = {}): EntryBody =>
  ({ kind: "build", build: "ring-1", event, ...more }) as EntryBody;

describe("running", () => {
  test("of coupons follows from bead length, travel, feed and flow", () => {
    const { total, untold } = runningLedger(rigStudy([run("C1"), run("C2")]));
    expectDigits(total.arc_time!, (2 * 0.5) / 60, 12);
    expectDigits(total.wire!, 2 * 0.6, 12);
    expectDigits(total.gas!, 2 * 0.5 * 10, 12);
    expect(total).toMatchObject({ starts: 2, layers: 2 });
    expect(untold).toEqual({});
  });

  test("that nobody told is named, not taken for none", () => {
    const silent = rigStudy([run("C1")], { rig: { settings: { arc_voltage: "13 V" } } });
    expect(runningLedger(silent).untold).toEqual({ arc_time: 1, wire: 1, gas: 1 });
  });

  test("of a build grows with what is logged, in any unit, and a voided coupon was run all the same", () => {
    const study = rigStudy([
      run("C1"),
      { kind: "voided", coupon: "C1", reason: "wrong wire" },
      step("started"),
      step("progress", {
        layer: 10,
        exposure: { arc_time: { value: 30, unit: "min" }, starts: { value: 10, unit: "1" } },
      }),
      step("progress", { layer: 25, exposure: { arc_time: hours(1.25), starts: { value: 26, unit: "1" } } }),
    ]);
    const { total } = runningLedger(study);
    expectDigits(total.arc_time!, 1.25 + 0.5 / 60, 10);
    expect(total).toMatchObject({ starts: 27, layers: 26 });
  });

  test("at an incident in a build is told by its own count, else its layer, else the log", () => {
    const study = rigStudy([
      step("started"),
      step("progress", { layer: 10, exposure: { arc_time: hours(1) } }),
      step("progress", { layer: 20, exposure: { arc_time: hours(2) } }),
    ]);
    const ledger = runningLedger(study);
    const seq = study.entries.length + 1;
    const at = (more: object): number => runningAt(ledger, { seq, build: "ring-1", ...more }).arc_time!;
    expect(at({})).toBe(2);
    // The middle of layer 15, half way between layers 10 and 20 but for half a layer.
    expectDigits(at({ layer: 15 }), 1.45, 12);
    expectDigits(at({ layer: 15, exposure: { arc_time: { value: 66, unit: "min" } } }), 1.1, 12.4);
  });
});

test("attempts tell how each build stands", () => {
  const study = rigStudy([
    step("started"),
    step("progress", { layer: 12 }),
    {
      kind: "incident",
      what: "arc_lost",
      outcome: "scrapped",
      build: "ring-1",
      layer: 13,
      lostTime: hours(2),
    },
    step("ended", { layer: 12, outcome: "scrapped" }),
    { kind: "build", build: "ring-2", event: "started" },
    { kind: "build", build: "ring-2", event: "paused" },
  ]);
  expect(attempts(study)).toMatchObject([
    { build: "ring-1", state: "scrapped", layers: 12, lostTime: 120 },
    { build: "ring-2", state: "paused", layers: 0, lostTime: 0 },
  ]);
});

test("counters run from the last change, in the unit of the life told", () => {
  const study = rigStudy([
    { kind: "change", what: "tungsten", life: { value: 90, unit: "min" } },
    run("C1"),
    { kind: "change", what: "contact_tip", life: { value: 3, unit: "m" } },
    ...Array.from({ length: 4 }, (_, i) => run(`D${i}`)),
    { kind: "change", what: "tungsten" },
    run("E1"),
  ]);
  const [tungsten, tip] = counters(study);
  expect(tungsten).toMatchObject({ what: "tungsten", changes: 2, since: { starts: 1 } });
  expectDigits(tungsten!.life!.value, 1.5, 12);
  expectDigits(tungsten!.life!.used, 0.5 / 60, 10);
  expectDigits(tungsten!.before[0]!.wire!, 5 * 0.6, 10);
  expectDigits(tip!.life!.left, 3 - 5 * 0.6, 6);
});

test.each([
  [step("progress"), /there is no build ring-1; start it first/],
  [
    { kind: "incident", what: "arc_lost", outcome: "resumed", build: "ring-1" } as EntryBody,
    /there is no build ring-1/,
  ],
  [
    { kind: "incident", what: "arc_lost", outcome: "resumed", exposure: { arc_tme: hours(1) } } as EntryBody,
    /running is counted as starts, layers, .*got arc_tme; did you mean "arc_time"\?/,
  ],
  [
    {
      kind: "incident",
      what: "arc_lost",
      outcome: "resumed",
      exposure: { arc_time: { value: 3, unit: "m" } },
    } as EntryBody,
    /arc_time needs a unit like h, got m/,
  ],
  [{ kind: "change", what: "cup", life: { value: 3, unit: "A" } } as EntryBody, /a life is a time of arc/],
  [{ kind: "change", what: "cup", life: { value: 0, unit: "h" } } as EntryBody, /a life must be above 0/],
])("what cannot be is not logged: %j", (body, message) => {
  const study = rigStudy([run("C1")]);
  expect(() => appendEntries(study, [body])).toThrow(message);
});

test("a build starts once, grows, ends once with an outcome, and a void takes an end back", () => {
  const study = rigStudy([step("started"), step("progress", { layer: 9, exposure: { arc_time: hours(1) } })]);
  expect(() => appendEntries(study, [step("started")])).toThrow(/was started before/);
  expect(() => appendEntries(study, [step("progress", { layer: 8 })])).toThrow(
    /layer 9 was logged before, now it says 8/,
  );
  expect(() =>
    appendEntries(study, [step("progress", { exposure: { arc_time: { value: 50, unit: "min" } } })]),
  ).toThrow(/arc_time counts the whole build so far: it was 1 h before, now it says 50 min/);
  expect(() => appendEntries(study, [step("ended")])).toThrow(/say how a build ended/);
  expect(() => appendEntries(study, [step("progress", { outcome: "finished" })])).toThrow(/and only then/);
  const ended = appendEntries(study, [step("ended", { outcome: "finished" })]);
  expect(() => appendEntries(ended, [step("progress", { layer: 10 })])).toThrow(/has ended/);
  const open = appendEntries(ended, [{ kind: "voided", entry: ended.entries.length, reason: "wrong build" }]);
  expect(appendEntries(open, [step("progress", { layer: 10 })]).buildSteps.at(-1)).toMatchObject({
    layer: 10,
  });
});
