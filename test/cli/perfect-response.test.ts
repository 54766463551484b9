import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { beforeAll, describe, expect, test } from "vitest";
import { commandLine } from "./run.js";

/** What arithmetic prints where it went wrong. */
const wrong = /\bNaN\b|Infinity|undefined|\binf\b|e\+30\d|\d{20}/;

/** Coupons of which a form foresees every response without any residual, repeats and failures among them. */
const rows = [120, 140, 160].flatMap((current) =>
  [150, 200, 250].flatMap((travel) =>
    [1, 2].map((day) => [day, current, travel, 2 + 0.025 * current, 0.02 * current - 0.004 * travel + 1]),
  ),
);
const results = [
  "coupon,day,current [A],travel_speed [mm/min],bead_width [mm],bead_height [mm],waviness [mm],sound_bead",
  ...rows.map((row, i) => `C${i},${row.join(",")},7,${i % 7 === 0 ? "no" : "yes"}`),
].join("\n");

describe.each(["linear", "log"])("responses without scatter, of scale %s", (scale) => {
  const shell = commandLine();
  beforeAll(async () => {
    writeFileSync(join(shell.folder, "results.csv"), results);
    const wire = ["--process", "141", "--wire", "ER308L", "--diameter", "1.2 mm"];
    expect((await shell.run("new", "exact", "--from", "results.csv", ...wire)).status).toBe(0);
    const file = join(shell.folder, "exact", "study.json");
    const definition = JSON.parse(readFileSync(file, "utf8")) as { responses: { kind: string }[] };
    const responses = definition.responses.map((response) =>
      response.kind === "measured" ? { ...response, scale } : response,
    );
    writeFileSync(file, JSON.stringify({ ...definition, responses }));
    expect((await shell.run("import", "exact", "results.csv")).status).toBe(0);
  });

  test.each(["check", "fit"])("%s answers in numbers", async (name) => {
    const { status, out, notes } = await shell.run(name, "exact");
    expect(status, notes).toBe(0);
    expect(out + notes).not.toMatch(wrong);
  });

  test("the report shows them, with the preset and the window", async () => {
    const { status, notes } = await shell.run("report", "exact", "--html", "exact.html");
    expect(status, notes).toBe(0);
    const page = readFileSync(join(shell.folder, "exact.html"), "utf8");
    expect(wrong.exec(page.replace(/<(style|script)[\s\S]*?<\/\1>/g, ""))).toBeNull();
    for (const response of ["Bead width", "Bead height"])
      expect(page.includes(`${response}: residuals in run order`), response).toBe(true);
  });

  test("rounding is no lack of fit beside repeats that agree", async () => {
    const { out } = await shell.run("fit", "exact", "--detail");
    const chosen = out.split(/\n(?=\w+ \[)/).filter((part) => /^\* (linear|quadratic)/m.test(part));
    if (scale === "linear") expect(chosen.length).toBeGreaterThan(0);
    for (const part of chosen) expect(part).not.toMatch(/lack of fit against repeats: F above/);
  });
});
