import { join } from "node:path";
import { expect, test } from "vitest";
import { appendEntries, createDemoStudy, measuredOf } from "../../lib/study/index.js";
import { commandLine } from "./run.js";

interface Found {
  readonly code: string;
  readonly about?: readonly string[];
  readonly advice: string;
}

test("check names a coupon run elsewhere, which the model alone can tell, and none twice", async () => {
  const shell = commandLine();
  const folder = join(shell.folder, "rings");
  const study = createDemoStudy(folder);
  const checked = async (): Promise<readonly Found[]> =>
    (JSON.parse((await shell.run("check", folder, "--json")).out) as { findings: readonly Found[] }).findings;
  const suspects = (findings: readonly Found[]) => findings.filter(({ code }) => code === "suspect-coupon");
  expect(suspects(await checked())).toEqual([]);
  const like = study.coupons.find(
    (one) => one.state === "logged" && (measuredOf(one, "bead_width") ?? 0) > 0,
  )!;
  const [width, height] = ["bead_width", "bead_height"].map((name) => measuredOf(like, name)!);
  // More metal on a wider bead: a slower travel than was written down, not a slip of one size.
  const sizes = { bead_width: 1.15 * width!, bead_height: 1.15 * height! };
  const values = { ...like.settings, ...like.blocks, ...sizes, sound_bead: true };
  appendEntries(study, [{ kind: "logged", coupon: "X1", values }]);
  const findings = await checked();
  const named = findings.filter(
    ({ code, about }) =>
      about?.includes("X1") === true && (code === "suspect-coupon" || code.endsWith("-slip")),
  );
  expect(named.map(({ code }) => code)).toEqual(["suspect-coupon"]);
  expect(named[0]!.advice).toMatch(/run it again/);
}, 30_000);
