import { join } from "node:path";
import { beforeAll, describe, expect, test } from "vitest";
import { createDemoStudy } from "../../lib/study/index.js";
import { commandLine } from "./run.js";

const shell = commandLine();
beforeAll(() => {
  createDemoStudy(join(shell.folder, "rings"));
});

describe("next --budget", { timeout: 60_000 }, () => {
  test("proposes what the money pays for, priced coupon by coupon, with one reason for those alike", async () => {
    const { status, out, notes } = await shell.run("next", "rings", "--budget", "60 EUR", "--dry");
    expect(status, notes).toBe(0);
    const [, total] = /^All together: ([\d.]+) EUR, \d+ min, \d+ L of gas, [\d.]+ m of wire$/m.exec(out)!;
    expect(Number(total)).toBeLessThanOrEqual(60);
    expect(Number(total)).toBeGreaterThan(45);
    expect(out).toMatch(/EUR +min +gas \[L\] +wire \[m\] +role\n/);
    expect(out.match(/the coupons leave open that the best setting lies about here/g)).toHaveLength(1);
  });

  test("counts minutes too, and the number asked for is the most", async () => {
    const { out } = await shell.run(
      "next",
      "rings",
      "--budget",
      "45 min",
      "--coupons",
      "2",
      "--dry",
      "--json",
    );
    expect(JSON.parse(out).proposals).toHaveLength(2);
  });

  test.each([
    ["60 USD", /the costs of this study are in EUR; write "60 EUR"/],
    ["1 EUR", /the budget pays for no coupon at all; raise it/],
    ["0 min", /--budget "0 min" must be more than 0/],
    ["100 A", /--budget "100 A" is current; give money, a time, litres of gas or metres of wire/],
    ["lots", /"lots" does not begin with a number/],
  ])("%s is refused", async (budget, told) => {
    const { status, notes } = await shell.run("next", "rings", "--budget", budget, "--dry");
    expect(status).toBe(1);
    expect(notes).toMatch(told);
  });

  test("plan sends money to next", async () => {
    const { status, notes } = await shell.run("plan", "rings", "--budget", "60 EUR", "--dry");
    expect(status).toBe(1);
    expect(notes).toMatch(/money is for `next --budget`/);
  });
});
