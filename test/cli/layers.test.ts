import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { beforeAll, describe, expect, test } from "vitest";
import { randomStream } from "../../lib/numeric/index.js";
import { commandLine } from "./run.js";

/** Beads of an invented rig, the first eight on layers 1 to 3, fourteen more on a wall that grows wider. */
function readings(): string {
  const noise = randomStream(7);
  const rows = Array.from({ length: 22 }, (_, i) => {
    const onWall = i >= 8;
    const current = 120 + 10 * ((i * 3) % 5);
    const travel = 140 + 20 * ((i * 2) % 4);
    const feed = 0.9 + 0.1 * (i % 4);
    const width =
      (onWall ? 7 : 5) * (current / 140) ** 0.7 * (travel / 170) ** -0.4 * Math.exp(0.02 * noise.normal());
    return `C${i + 1},${onWall ? 4 + (i % 6) : 1 + (i % 3)},${current},${travel},${feed.toFixed(1)},${width.toFixed(2)}`;
  });
  return `coupon,layer,current [A],travel_speed [mm/min],wire_feed_speed [m/min],bead_width [mm]\n${rows.join("\n")}\n`;
}

describe("a study with coupons on first layers and on a wall", () => {
  const shell = commandLine();
  beforeAll(async () => {
    writeFileSync(join(shell.folder, "r.csv"), readings());
    const wire = ["--process", "141", "--wire", "ER308L", "--diameter", "1.2 mm"];
    const made = await shell.run("new", "ring", "--from", "r.csv", ...wire);
    expect(made.status, made.notes).toBe(0);
    expect((await shell.run("import", "ring", "r.csv")).out).toBe("22 coupons logged\n");
  });
  const widthAt = async (...args: readonly string[]) => {
    const fit = JSON.parse((await shell.run("fit", "ring", "--json", ...args)).out);
    const law = fit.responses[0].forms.find((form: { form: string }) => form.form === "power-law");
    return { fit, n: law.n, width: law.atReference.estimate };
  };

  test("layer is neither a setting nor a result, and needs no unit", async () => {
    const { fit } = await widthAt();
    const law = fit.responses[0].forms.find((form: { form: string }) => form.form === "power-law");
    expect(law.terms.map(({ factor }: { factor: string }) => factor)).toEqual([
      "current",
      "travel_speed",
      "wire_feed_speed",
    ]);
  });

  test("fit takes the wall, says so, and takes the first layers on demand", async () => {
    const wall = await widthAt();
    expect([wall.fit.layers, wall.n, wall.fit.aside.length]).toEqual(["wall", 14, 8]);
    expect(wall.width).toBeGreaterThan(6.5);
    const first = await widthAt("--layers", "first");
    expect([first.fit.layers, first.n, first.fit.aside.length]).toEqual(["first", 8, 14]);
    expect(first.width).toBeLessThan(5.5);
    expect((await shell.run("fit", "ring", "--detail")).out).toMatch(
      /8 coupons on the base and layers 1 to 3 set\s+aside/,
    );
  });

  test("fit prints every form of a response and marks the chosen one", async () => {
    const { out } = await shell.run("fit", "ring", "--detail");
    expect(out).toMatch(/energy balance +3 +\d\.\d % +\d\.\d %/);
    expect(out).toMatch(/^\* (energy balance|power law) +[34] /m);
    expect(out).toMatch(
      /no constrained form: needs bead_height or reinforcement or height on the same coupons/,
    );
    expect(out).toMatch(/^ {2}\* power law: foresees left-out settings better than every simpler form/m);
  });

  test("an unknown set is refused with the two there are", async () => {
    const { status, notes } = await shell.run("fit", "ring", "--layers", "top");
    expect(status).toBe(1);
    expect(notes).toMatch(/first, wall/);
  });

  test("proposals come from the coupons of the chosen layers only", async () => {
    const next = async (...args: readonly string[]) =>
      JSON.parse(
        (await shell.run("next", "ring", "--coupons", "1", "--aim", "explore", "--dry", "--json", ...args))
          .out,
      );
    const said = (result: { findings: readonly { code: string; message: string }[] }) =>
      result.findings.find(({ code }) => code === "layers-kept-apart")!.message;
    expect(said(await next())).toMatch(/used 14 coupons on layers 4 and up/);
    expect(said(await next("--layers", "first"))).toMatch(/used 8 coupons on the base/);
  });

  test("log takes a layer without a unit", async () => {
    const { status, notes } = await shell.run(
      "log",
      "ring",
      "C99",
      "layer=5",
      "current=140A",
      "travel_speed=170 mm/min",
      "wire_feed_speed=1 m/min",
      "bead_width=7 mm",
    );
    expect(status, notes).toBe(0);
    const { fit, n } = await widthAt();
    expect([n, fit.aside.length]).toEqual([15, 8]);
  });
});
