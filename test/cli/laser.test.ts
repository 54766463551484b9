import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { beforeAll, describe, expect, test } from "vitest";
import { expectDigits } from "../support/digits.js";
import { commandLine } from "./run.js";

/** An invented rig: wire fed into the pool of a 2 to 4 kW beam. */
const definition = {
  schema: "beadbench/study/1",
  name: "laser with wire, invented",
  process: "521",
  wire: { classification: "ER308L", diameter: "1.2 mm" },
  factors: [
    { name: "power", unit: "kW", low: 2, high: 4 },
    { name: "travel_speed", unit: "mm/s", low: 8, high: 20 },
    { name: "wire_feed_speed", unit: "m/min", low: 0.8, high: 2 },
  ],
  responses: [
    { name: "bead_width", unit: "mm", spec: { lower: 2.4, upper: 3.4 }, scale: "log" },
    { name: "sound", kind: "passFail" },
  ],
  limits: [{ quantity: "heat_input", unit: "J/mm", max: 150 }],
};

describe("a laser with wire (ISO 4063 number 521)", { timeout: 120_000 }, () => {
  const shell = commandLine();
  const good = async (...words: string[]) => {
    const found = await shell.run(...words);
    expect(found.status, `${words.join(" ")}: ${found.notes}`).toBe(0);
    return found.out;
  };

  beforeAll(async () => {
    writeFileSync(join(shell.folder, "d.json"), JSON.stringify(definition));
    await good("new", "beam", "--from", "d.json");
    const rows = Array.from({ length: 14 }, (_, i) => {
      const [power, travel, feed] = [2 + ((i * 5) % 11) / 5.5, 8 + ((i * 7) % 13), 0.8 + ((i * 3) % 7) / 6];
      const width = 2.9 * (power / 3) ** 0.7 * (travel / 13) ** -0.4 * (1 + 0.03 * (((i * i) % 5) - 2));
      return `${power},${travel},${feed},${width.toFixed(3)},${feed / power < 0.6 ? "yes" : "no"}`;
    });
    const title = "power [kW],travel_speed [mm/s],wire_feed_speed [m/min],bead_width [mm],sound";
    writeFileSync(join(shell.folder, "r.csv"), [title, ...rows].join("\n"));
    await good("import", "beam", "r.csv");
  });

  test("physics takes the beam's power: energy P / v, heat input a P / v, wire share A f H / (a P)", async () => {
    const words = ["power=3000 W", "travel_speed=10 mm/s", "wire_feed_speed=1.2 m/min"];
    const [row] = JSON.parse(await good("physics", "beam", ...words, "--json")).rows;
    // By hand: 3000 / 10 = 300 J/mm, 0.4 of it 120.
    expect(row.quantities.arc_power).toBe(3000);
    expectDigits(row.quantities.arc_energy, 300, 13);
    expectDigits(row.quantities.heat_input, 120, 13);
    const text = await good("physics", "beam", ...words);
    expect(text).toContain("beam efficiency 0.4 (absorptivity");
    expect(text).toMatch(/laser eyewear/);
    expect(text).not.toMatch(/filter of shade/);
  });

  test("check, fit, window, next and preset answer; the doubt about absorptivity and the caution are told", async () => {
    const check = await good("check", "beam");
    expect(check).not.toMatch(/arc voltage|\[!!\]/);
    expect(await good("fit", "beam", "--detail")).toMatch(/bead_width \[mm\]/);
    expect(await good("window", "beam")).toMatch(
      /share of the beam's power that heats the part is taken as\s+0\.4, between 0\.15 and\s+0\.8/,
    );
    const next = await good("next", "beam", "--coupons", "2", "--dry");
    expect(next).not.toMatch(/arc/);
    await good("preset", "beam", "--json", "p.json");
    const preset = JSON.parse(await good("preset", "beam", "--json"));
    expect(preset.cautions.join(" ")).toMatch(/interlocked, light-tight enclosure, laser eyewear/);
    expect(preset.cautions.join(" ")).not.toMatch(/Arc radiation/);
  });
});
