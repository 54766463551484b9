import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { beforeAll, describe, expect, test } from "vitest";
import { derivedQuantity, physicalSettingOfCoupon, rigPhysics } from "../../lib/models/index.js";
import { type CurveFit, fitLinear, predictCurve } from "../../lib/regression/index.js";
import { createDemoStudy, measuredOf, openStudy } from "../../lib/study/index.js";
import { nistProblems } from "../regression/nist-problems.js";
import { expectDigits } from "../support/digits.js";
import { commandLine } from "./run.js";

describe("a formula of one's own", () => {
  const shell = commandLine();
  const put = (name: string, text: string): void => writeFileSync(join(shell.folder, name), text);
  const misra = nistProblems.find(({ name }) => name === "Misra1a")!;
  const danWood = nistProblems.find(({ name }) => name === "DanWood")!;
  beforeAll(() => {
    createDemoStudy(join(shell.folder, "rings"));
    const rows = misra.y.map((y, i) => `${misra.x[i]![0]},${y}`);
    put("misra.csv", ["x,y", ...rows].join("\n"));
    put("power.csv", ["x,y", ...danWood.y.map((y, i) => `${danWood.x[i]![0]},${y}`)].join("\n"));
    put(
      "shop.csv",
      "current [A];width [px];Travel Speed [mm/s];note\n100;10,1;3;a\n120;12,3;4;b\n140;13,7;3;b\n160;16,5;4;c\n180;17,4;3,5;d\n150;;3;d\n200;20,9;4;e\n",
    );
    put("twice.csv", "x [mm],y,X [mm]\n1,2,3\n2,3,4\n3,4,5\n");
    put("bad.csv", "x,y\n1,2\nabout 3,4\n4,5\n");
    put("empty.csv", "x,y\n1,\n,2\n");
    put(
      "comma.csv",
      ["X [mm];Y [in]", ...rows.map((row) => row.replace(",", ";").replaceAll(".", ","))].join("\n"),
    );
  });

  const fitted = async (...words: readonly string[]): Promise<CurveFit> => {
    const { status, out, notes } = await shell.run(...words, "--json");
    expect(status, notes).toBe(0);
    return JSON.parse(out) as CurveFit;
  };

  // NIST StRD, Misra1a: certified estimates and standard deviations, from the plain start of 1 each.
  test.each(["misra.csv", "comma.csv"])("curve reaches NIST's certified values from %s", async (file) => {
    const { fit, estimates } = await fitted(
      ...["curve", file, "--response", "y", "--formula", "b1 * (1 - exp(-b2 * x))"],
    );
    if (fit.status !== "converged") throw new Error(fit.status);
    misra.certified.estimates.forEach((value, j) => {
      expectDigits(Object.values(estimates)[j]!, value, 8);
      expectDigits(fit.standardErrors[j]!, misra.certified.standardErrors[j]!, 7);
    });
  });

  // NIST StRD, DanWood, certified estimates; ends of the profile likelihood by SciPy 1.17.1: brentq on the sum of
  // squares with the other parameter minimised out (minimize_scalar), against F = t^2 of 4 degrees of freedom.
  test("curve's intervals are those of the profile likelihood", async () => {
    const { estimates, parameters } = await fitted(
      ...["curve", "power.csv", "--response", "y", "--formula", "b1*x^b2"],
    );
    expectDigits(estimates.b1!, 0.76886226176, 9);
    expectDigits(estimates.b2!, 3.8604055871, 9);
    expectDigits(parameters[0]!.lower, 0.71960716287, 5);
    expectDigits(parameters[0]!.upper, 0.82076980329, 5);
    expectDigits(parameters[1]!.lower, 3.718058657, 5);
    expectDigits(parameters[1]!.upper, 4.0041831569, 5);
  });

  // A straight line through Misra1a's rows: least squares by NumPy, t quantile by SciPy 1.17.1.
  test("a straight line has the intervals and bands of linear least squares", async () => {
    const curve = await fitted("curve", "misra.csv", "--response", "y", "--formula", "a + b*x");
    expectDigits(curve.parameters[0]!.lower, 2.32363874, 8);
    expectDigits(curve.parameters[1]!.upper, 0.10878051, 7);
    const [at] = predictCurve(curve, [{ x: 300 }]);
    expectDigits(at!.mean, 35.39183046183342, 10);
    expectDigits(at!.confidence.lower, 34.6483447825822, 10);
    expectDigits(at!.prediction.upper, 38.11106871033965, 10);
  });

  test("words of the trade and capitals mean columns, rows with an empty cell are left out", async () => {
    const words = ["curve", "shop.csv", "--response", "Width", "--formula", "a*amps^b*Travel^c"];
    const { out, notes } = await shell.run(...words);
    expect(out).toContain("Columns: amps, Travel. Parameters: a, b, c.");
    expect(out).toMatch(/, 6 rows$/m);
    expect(out).toMatch(/Scatter of a row \S+ px,/);
    expect(notes).toBe("1 row left out: a value that the formula needs is missing\n");
    const { estimates } = await fitted(...words);
    const same = await fitted(
      ...["curve", "shop.csv", "--response", "width", "--formula", "a*current^b*travel_speed^c"],
    );
    expect(Object.values(estimates)).toEqual(Object.values(same.estimates));
  });

  test("a word with a first guess is a parameter, and one like a column is pointed out", async () => {
    const { estimates } = await fitted(
      ...["curve", "shop.csv", "--response", "width", "--formula", "amps*travel_speed", "--start", "amps=2"],
    );
    expect(Object.keys(estimates)).toEqual(["amps"]);
    const slip = await shell.run("curve", "shop.csv", "--response", "width", "--formula", "a*curent");
    expect(slip.notes).toContain('"curent" is no column and taken for a parameter; did you mean "current"?');
  });

  test("--svg draws rows, curve and bands", async () => {
    const words = ["curve", "misra.csv", "--response", "y", "--formula", "b1 * (1 - exp(-b2 * x))"];
    const { status, notes } = await shell.run(...words, "--svg", "curve.svg");
    expect(status, notes).toBe(0);
    const drawing = readFileSync(join(shell.folder, "curve.svg"), "utf8");
    expect(drawing).toContain("y = b1 * (1 - exp(-b2 * x))");
    expect(drawing).toContain("14 measured readings");
    expect(/class="mark-symbol.*?<\/g>/.exec(drawing)![0].match(/<path/g)).toHaveLength(14);
    expect(drawing.match(/class="mark-area/g)).toHaveLength(2);
  });

  test.each([
    ["a*b*x", "the data do not determine"],
    ["a*log(-x) + b", "not finite"],
  ])("%s has no answer, which the status says too", async (formula, reason) => {
    const { status, out } = await shell.run("curve", "misra.csv", "--response", "y", "--formula", formula);
    expect(status).toBe(1);
    expect(out).toContain("no answer");
    expect(out).toContain(reason);
    expect(out).not.toMatch(/NaN|Infinity|\[object/);
  });

  test("derived quantities stand in a study's formula", async () => {
    const words = ["fit", "rings", "--response", "bead_width", "--formula", "a*arc_energy^b"];
    const { fit } = await fitted(...words);
    const { coupons, definition } = openStudy(join(shell.folder, "rings"));
    const used = coupons.filter(
      (coupon) => coupon.state === "logged" && measuredOf(coupon, "bead_width") !== undefined,
    );
    const physics = rigPhysics({ definition });
    used.forEach((coupon, i) => {
      const setting = physicalSettingOfCoupon({ definition }, coupon);
      expect(fit.observations.x[i]).toEqual([derivedQuantity("arc_energy", setting, physics)]);
    });
    expect(used.length).toBe(fit.observations.y.length);
  });

  test("fit --formula on a study gives what least squares on the same coupons gives", async () => {
    const words = ["fit", "rings", "--response", "bead_width", "--formula", "a + b*current + c*travel_speed"];
    const fit = await fitted(...words);
    const coupons = openStudy(join(shell.folder, "rings")).coupons.filter(
      (coupon) => coupon.state === "logged" && measuredOf(coupon, "bead_width") !== undefined,
    );
    const lines = fitLinear(
      {
        x: coupons.map(({ settings }) => [1, Number(settings.current), Number(settings.travel_speed)]),
        y: coupons.map((coupon) => measuredOf(coupon, "bead_width")!),
      },
      { names: ["a", "b", "c"] },
    );
    lines.estimates.forEach((value, j) => {
      expectDigits(Object.values(fit.estimates)[j]!, value, 9);
    });
    const text = await shell.run(...words);
    expect(text.out).toContain("bead_width = a + b*current + c*travel_speed");
    expect(text.out).toMatch(/Scatter of a row \S+ mm/);
  });

  test.each<[readonly string[], string]>([
    [["curve", "misra.csv", "--response", "z", "--formula", "a*x"], 'misra.csv has no column "z"'],
    [["curve", "misra.csv", "--response", "y", "--formula", "a*y"], "write it without y itself"],
    [["curve", "misra.csv", "--response", "y", "--formula", "a*(x"], 'formula "a*(x"'],
    [["curve", "misra.csv", "--response", "y", "--formula", "a*x", "--start", "q=1"], "no parameter q"],
    [["curve", "misra.csv", "--response", "y", "--formula", "a*x", "--start", "a=b"], "parameter=number"],
    [["fit", "rings", "--response", "bead_widht", "--formula", "a*current"], 'did you mean "bead_width"'],
    [["fit", "rings", "--formula", "a*current"], "give --response and --formula both"],
    [["fit", "rings", "--svg", "a.svg"], "--svg belongs to a formula of your own"],
    [
      ["fit", "rings", "--without", "Q9", "--response", "bead_width", "--formula", "a"],
      "no coupon called Q9",
    ],
    [
      ["curve", "shop.csv", "--response", "note", "--formula", "a*amps"],
      'shop.csv:2 (also lines 3 to 8), "note"',
    ],
    [["curve", "shop.csv", "--response", "height", "--formula", "a*amps"], "columns: current, width"],
    [
      ["curve", "shop.csv", "--response", "current", "--formula", "a*amps"],
      '"amps" in the formula means current',
    ],
    [
      ["curve", "twice.csv", "--response", "y", "--formula", "a*x"],
      'twice.csv:1, "X [mm]": the column stands twice',
    ],
    [["curve", "bad.csv", "--response", "y", "--formula", "a*x"], 'bad.csv:3, "x": '],
    [["curve", "empty.csv", "--response", "y", "--formula", "a*x"], "no row with y"],
    [["curve", "misra.csv", "--response", "y", "--formula", "a*x", "--svg"], "argument missing"],
    [["curve", "misra.csv", "--response", "y", "--formula", "2*x"], "has no parameter to fit"],
    [["curve", "nowhere.csv", "--response", "y", "--formula", "a*x"], "cannot read nowhere.csv"],
  ])("%j is refused with the reason", async (args, reason) => {
    const { status, notes } = await shell.run(...args);
    expect(status).toBe(1);
    expect(notes).toContain(reason);
  });
});
