import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { beforeAll, describe, expect, test } from "vitest";
import { createDemoStudy } from "../../lib/study/index.js";
import { commandLine } from "./run.js";

describe("window, next and preset", () => {
  const shell = commandLine();
  const good = async (...args: readonly string[]): Promise<string> => {
    const { status, out, notes } = await shell.run(...args);
    expect(status, notes).toBe(0);
    return out;
  };
  beforeAll(() => {
    createDemoStudy(join(shell.folder, "rings"));
    createDemoStudy(join(shell.folder, "open"));
    const path = join(shell.folder, "open", "study.json");
    const definition = JSON.parse(readFileSync(path, "utf8"));
    const responses = definition.responses.flatMap(
      ({ spec: _, ...response }: { kind?: string; spec?: object }) =>
        response.kind === "passFail" ? [] : [response],
    );
    writeFileSync(path, JSON.stringify({ ...definition, responses }));
  });

  test("say in plain words what the figures of --detail and --json say", async () => {
    const { best } = JSON.parse(await good("window", "rings", "--json"));
    const { chance, interval } = best.conformance;
    const shown = (share: number): string => String(Math.round(100 * share));
    const told = `${shown(chance)} of 100 coupons at it conform; the coupons so far leave open ${shown(interval[0])} to ${shown(interval[1])}`;
    const window = (await good("window", "rings")).replace(/\s+/g, " ");
    expect(window).toContain(told);
    expect(window).not.toMatch(/interval|drift does/);
    expect((await good("preset", "rings")).replace(/\s+/g, " ")).toContain(told);
    expect(await good("window", "rings", "--detail")).toMatch(/90 % interval[\s\S]*What drift does/);
    expect(await good("preset", "rings", "--detail")).toMatch(/median[\s\S]*rests on the outcome model/);
  }, 120_000);

  test("next says what its coupons are for, and its figures with --detail", async () => {
    const plain = await good("next", "rings", "--coupons", "1", "--dry");
    expect(plain).toMatch(/^1 coupon to come nearest to what is wanted\n/);
    expect(plain.replace(/\s+/g, " ")).toMatch(/\d+ of 100 conform, and (these are hardly|it is) expected/);
    expect(await good("next", "rings", "--coupons", "1", "--dry", "--detail")).toMatch(
      /^1 coupon, aim hit, seed 2026/,
    );
  });

  test("of a study that asks for nothing claim no chance, and say what to add", async () => {
    for (const command of [
      ["window", "open"],
      ["preset", "open"],
      ["next", "open", "--coupons", "1", "--dry"],
    ]) {
      const out = (await good(...command)).replace(/\s+/g, " ");
      expect(out, command[0]).toContain("Nothing is asked for: study.json says of no result which is good");
      expect(out, command[0]).not.toMatch(/100 of 100|100 %/);
    }
  }, 120_000);
});
