import { execFileSync } from "node:child_process";
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { buildOutcomeModel } from "../../lib/models/index.js";
import { mean, type RandomStream, randomStream } from "../../lib/numeric/index.js";
import type { Coupon, StudyDefinition } from "../../lib/study/index.js";
import { proposeNext, recommendPreset } from "../../lib/window/index.js";
import { results } from "../support/studies.js";
import type { RigFormulas, RigOutcome } from "./rig.js";
import { cleanShop, runShopCoupon, type ShopCoupon, type ShopHabits, shopChance } from "./shop.js";

type Settings = Readonly<Record<string, number | string>>;

/** Whoever chooses the coupons: sees settings and outcomes, never the rig's formulas. */
export interface Operator {
  /** The next coupons to run. */
  propose(count: number): readonly Settings[];
  /** What came out, in the order proposed, on one day. */
  record(outcomes: readonly RigOutcome[], day: number): void;
  /** The setting it would build with now, and the chance it claims. */
  preset(): { readonly settings: Settings; readonly claimed: number };
  close(): void;
}

const byFactor = (
  settings: readonly { readonly factor: string; readonly value: number | string }[],
): Settings => Object.fromEntries(settings.map(({ factor, value }) => [factor, value]));

/** Chooses the next coupons of an operator who recommends presets by the library. */
export type Choice = (coupons: readonly Coupon[], count: number) => readonly Settings[];

/** An operator who calls the library, for the next coupons too unless another choice is given. */
export function libraryOperator(
  definition: StudyDefinition,
  seed: number,
  choose: Choice = (coupons, count) =>
    proposeNext(buildOutcomeModel({ definition, coupons }, { seed }), { coupons: count }).proposals.map(
      ({ settings }) => byFactor(settings),
    ),
): Operator {
  const coupons: Coupon[] = [];
  let planned: readonly Settings[] = [];
  return {
    propose(count) {
      planned = choose(coupons, count);
      return planned;
    },
    record(outcomes, day) {
      outcomes.forEach((outcome, i) => {
        coupons.push(loggedCoupon(coupons.length, planned[i]!, outcome, day));
      });
    },
    preset() {
      const found = recommendPreset(buildOutcomeModel({ definition, coupons }, { seed }));
      return { settings: byFactor(found.settings), claimed: found.conformance.chance };
    },
    close() {},
  };
}

/** A logged coupon as a study holds it. */
export function loggedCoupon(index: number, settings: Settings, outcome: RigOutcome, day: number): Coupon {
  return {
    id: `C${index + 1}`,
    state: "logged",
    order: index + 1,
    blocks: { day: String(day) },
    settings,
    context: {},
    results: results(outcome),
    notes: [],
    time: "2026-01-05T10:00:00Z",
    seq: index + 1,
  };
}

/** An operator who uses the command line and CSV files alone. */
export function commandLineOperator(definition: StudyDefinition, seed: number, cli: string): Operator {
  const folder = mkdtempSync(join(tmpdir(), "closed-loop-"));
  const study = join(folder, "study");
  const run = (...words: string[]): string =>
    execFileSync(process.execPath, [cli, ...words], { encoding: "utf8", stdio: ["ignore", "pipe", "pipe"] });
  writeFileSync(join(folder, "definition.json"), JSON.stringify({ ...definition, seed }));
  run("new", study, "--from", join(folder, "definition.json"));
  let planned: { readonly coupon: string; readonly settings: Settings }[] = [];
  return {
    propose(count) {
      const file = join(folder, "planned.csv");
      run("next", study, "--coupons", String(count), "--csv", file);
      const [head, ...lines] = readFileSync(file, "utf8").trim().split(/\r?\n/);
      const columns = head!.split(",");
      planned = lines.map((line) => {
        // Settings stand before the note, the only cell that may hold commas.
        const cells = line.split(",");
        const settings = definition.factors.map(({ name, unit, kind }) =>
          kind === "category"
            ? [name, cells[columns.indexOf(name)]!.replaceAll('"', "")]
            : [name, Number(cells[columns.indexOf(`${name} [${unit}]`)])],
        );
        return { coupon: cells[columns.indexOf("coupon")]!, settings: Object.fromEntries(settings) };
      });
      return planned.map(({ settings }) => settings);
    },
    record(outcomes, day) {
      const head = [
        "coupon",
        "day",
        ...definition.responses.map(({ name, kind, unit }) =>
          kind === "measured" ? `${name} [${unit}]` : name,
        ),
      ];
      const rows = outcomes.map(({ measured, passed }, i) => [
        planned[i]!.coupon,
        String(day),
        ...definition.responses.map(({ name, kind }) =>
          kind === "measured" ? String(measured[name] ?? "") : passed[name] === true ? "pass" : "fail",
        ),
      ]);
      const file = join(folder, "results.csv");
      writeFileSync(file, `${[head, ...rows].map((row) => row.join(",")).join("\n")}\n`);
      run("import", study, file);
    },
    preset() {
      const found = JSON.parse(run("preset", study, "--json")) as PresetFile;
      return {
        settings: Object.fromEntries(found.settings.map(({ name, value }) => [name, value])),
        claimed: found.chance.value,
      };
    },
    close: () => rmSync(folder, { recursive: true, force: true }),
  };
}

/** What this reads of a preset file. */
interface PresetFile {
  readonly settings: readonly { readonly name: string; readonly value: number }[];
  readonly chance: { readonly value: number };
}

/** One checkpoint of one study. */
export interface Checkpoint {
  readonly rig: string;
  readonly seed: number;
  readonly coupons: number;
  /** True chance at the recommended preset, and that over the best possible. */
  readonly truth: number;
  readonly share: number;
  readonly claimed: number;
}

/** Runs one study in daily batches and looks at the recommended preset at the checkpoints. */
export function runStudy({
  rig,
  shop = cleanShop,
  best,
  seed,
  operator,
  checkpoints,
  batch = 6,
  seen,
}: {
  readonly rig: RigFormulas;
  readonly shop?: ShopHabits;
  /** Best true chance, in that shop. */
  readonly best: number;
  readonly seed: number;
  readonly operator: Operator;
  readonly checkpoints: readonly number[];
  readonly batch?: number;
  /** Told of every batch. */
  readonly seen?: (batch: readonly ShopCoupon[], done: number) => void;
}): readonly Checkpoint[] {
  const stream: RandomStream = randomStream(seed * 7919).split(rig.name);
  const results: Checkpoint[] = [];
  const most = Math.max(...checkpoints);
  for (let coupons = 0, number = 1; coupons < most; coupons += batch, number++) {
    const weather = stream.normal();
    const day = { weather, shifts: Object.keys(rig.scatter).map(() => stream.normal()) };
    const settings = operator.propose(batch);
    const run = settings.map((setting, i) =>
      runShopCoupon({ rig, habits: shop, settings: setting, day, place: (i + 0.5) / batch - 0.5, stream }),
    );
    operator.record(
      run.map(({ outcome }) => outcome),
      number,
    );
    const done = coupons + batch;
    seen?.(run, done);
    if (!checkpoints.includes(done)) continue;
    const { settings: chosen, claimed } = operator.preset();
    const truth = shopChance(rig, shop, chosen);
    results.push({ rig: rig.name, seed, coupons: done, truth, share: truth / best, claimed });
  }
  operator.close();
  return results;
}

/** The figures by which a loop is judged. */
export interface LoopFigures {
  readonly coupons: number;
  readonly studies: number;
  readonly median: number;
  readonly tenth: number;
  /** Share of studies whose preset reaches 0.8 of the best possible chance. */
  readonly good: number;
  /** Mean claimed minus true chance, and share of studies that claim over 0.9 where the truth is under 0.5. */
  readonly bias: number;
  readonly overclaimed: number;
}

/** Sums checkpoints up by number of coupons. */
export function loopFigures(results: readonly Checkpoint[]): readonly LoopFigures[] {
  return [...new Set(results.map(({ coupons }) => coupons))].map((coupons) => {
    const own = results.filter((result) => result.coupons === coupons);
    const shares = own.map(({ share }) => share).sort((a, b) => a - b);
    const at = (p: number): number => shares[Math.min(shares.length - 1, Math.floor(p * shares.length))]!;
    const portion = (rule: (result: Checkpoint) => boolean): number => own.filter(rule).length / own.length;
    return {
      coupons,
      studies: own.length,
      median: at(0.5),
      tenth: at(0.1),
      good: portion(({ share }) => share >= 0.8),
      bias: mean(own.map(({ claimed, truth }) => claimed - truth)),
      overclaimed: portion(({ claimed, truth }) => claimed > 0.9 && truth < 0.5),
    };
  });
}

/** Claims sorted into bins, with what was true of them. */
export interface ReliabilityBin {
  readonly from: number;
  readonly to: number;
  readonly count: number;
  readonly claimed: number;
  readonly truth: number;
}

/** Reliability of the claims: in a bin of claims near 0.9 the mean truth should be near 0.9. */
export function reliability(results: readonly Checkpoint[]): readonly ReliabilityBin[] {
  const edges = [0, 0.5, 0.7, 0.8, 0.9, 1.001];
  return edges.slice(1).flatMap((to, i): ReliabilityBin[] => {
    const own = results.filter(({ claimed }) => claimed >= edges[i]! && claimed < to);
    if (own.length === 0) return [];
    const claimed = mean(own.map((result) => result.claimed));
    return [{ from: edges[i]!, to, count: own.length, claimed, truth: mean(own.map(({ truth }) => truth)) }];
  });
}
