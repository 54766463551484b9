import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { beforeAll, describe, expect, test } from "vitest";
import { type CurveFit, fitLinear } from "../../lib/regression/index.js";
import { createDemoStudy, measuredOf, openStudy } from "../../lib/study/index.js";
import { nistProblems } from "../regression/nist-problems.js";
import { expectDigits } from "../support/digits.js";
import { commandLine } from "./run.js";

describe("a formula of one's own", () => {
  const shell = commandLine();
  const put = (name: string, text: string): void => writeFileSync(join(shell.folder, name), text);
  const misra = nistProblems.find(({ name }) => name === "Misra1a")!;
  beforeAll(() => {
    createDemoStudy(join(shell.folder, "rings"));
    const rows = misra.y.map((y, i) => `${misra.x[i]![0]},${y}`);
    put("misra.csv", ["x,y", ...rows].join("\n"));
    put(
      "comma.csv",
      ["X [mm];Y [in]", ...rows.map((row) => row.replace(",", ";").replaceAll(".", ","))].join("\n"),
    );
  });

  // NIST StRD, Misra1a: certified estimates and standard deviations, from the plain start of 1 each.
  test.each(["misra.csv", "comma.csv"])("curve reaches NIST's certified values from %s", async (file) => {
    const formula = "b1 * (1 - exp(-b2 * x))";
    const { status, out, notes } = await shell.run(
      "curve",
      file,
      "--response",
      "y",
      "--formula",
      formula,
      "--json",
    );
    expect(status, notes).toBe(0);
    const fit = JSON.parse(out) as CurveFit;
    expect(fit.status).toBe("converged");
    misra.certified.estimates.forEach((value, j) => {
      expectDigits(Object.values(fit.estimates)[j]!, value, 8);
    });
    for (const { estimate, lower, upper } of fit.parameters) {
      expect(lower).toBeLessThan(estimate);
      expect(upper).toBeGreaterThan(estimate);
    }
  });

  test("fit --formula on a study gives what least squares on the same coupons gives", async () => {
    const words = ["fit", "rings", "--response", "bead_width", "--formula", "a + b*current + c*travel_speed"];
    const { status, out, notes } = await shell.run(...words, "--json");
    expect(status, notes).toBe(0);
    const fit = JSON.parse(out) as CurveFit;
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
    [["fit", "rings", "--formula", "a*current"], "give both"],
    [
      ["fit", "rings", "--layers", "first", "--response", "bead_width", "--formula", "a"],
      "cannot go with --formula",
    ],
  ])("%j is refused with the reason", async (args, reason) => {
    const { status, notes } = await shell.run(...args);
    expect(status).toBe(1);
    expect(notes).toContain(reason);
  });
});
