import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { tigDefinition } from "../support/studies.js";
import { commandLine } from "./run.js";

async function studyOf(parts: Readonly<Record<string, unknown>>) {
  const shell = commandLine();
  writeFileSync(join(shell.folder, "study.json"), JSON.stringify(tigDefinition(parts)));
  expect((await shell.run("new", "beads", "--from", "study.json")).status).toBe(0);
  return shell;
}
const setting = ["current=120A", "travel_speed=3 mm/s", "wire_feed_speed=20 mm/s"];

describe("physics says what shade of filter an arc asks for", () => {
  test("least by rule, suggested from memory, local rules first", async () => {
    const shell = await studyOf({});
    const { out } = await shell.run("physics", "beads", ...setting);
    const flat = out.replace(/\s+/g, " ");
    // TIG 50 to 150 A: shade 8 at least (29 CFR 1910.133), 12 suggested (ANSI Z49.1, from memory).
    expect(flat).toMatch(
      /for 120 A a filter of shade 8 at least \(29 CFR 1910.133\(a\)\(5\)\), 12 to begin with/,
    );
    expect(flat).toMatch(/from memory\). Local rules and the helmet maker come first/);
    const { eyes } = JSON.parse((await shell.run("physics", "beads", ...setting, "--json")).out);
    expect(eyes).toMatchObject({ current: 120, shade: { least: { value: 8 }, suggested: { value: 12 } } });
  });

  test("none is made up beyond the table, and none shown without a current", async () => {
    const shell = await studyOf({});
    const { out } = await shell.run("physics", "beads", "current=900A");
    expect(out).toMatch(/no filter shade is at hand for 900 A here/);
    expect((await shell.run("physics", "beads")).out).not.toMatch(/Arc light/);
  });
});

test("physics holds a plasma study against its orifice and gas flows", async () => {
  const shell = await studyOf({ process: "151" });
  writeFileSync(
    join(shell.folder, "rig.json"),
    JSON.stringify({ orifice: { current: "100 A", plasmaGas: "0.6 L/min" } }),
  );
  const flows = ["gas_flow=12 L/min", "plasma_gas_flow=0.8 L/min"];
  const { status, out, notes } = await shell.run(
    "physics",
    "beads",
    ...setting,
    ...flows,
    "--equipment",
    "rig.json",
  );
  expect(status, notes).toBe(0);
  expect(out).toMatch(/orifice at 120 %/);
  expect(out.replace(/\s+/g, " ")).toMatch(/setting: 120 A is above the orifice's 100 A: .*double arcing/);
  writeFileSync(join(shell.folder, "bad.json"), JSON.stringify({ orifice: { current: 100 } }));
  const bad = await shell.run("physics", "beads", ...setting, "--equipment", "bad.json");
  expect(bad.status).toBe(1);
  expect(bad.notes).toMatch(/bad.json:1, "orifice.current": write a text with its unit/);
});
