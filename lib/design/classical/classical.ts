import { BeadbenchError, type Finding, requireThat } from "../../errors/index.js";
import { type Axis, nearestLevel } from "../region/index.js";
import type { CodedRun, DesignKind } from "../runs/index.js";
import { type Candidate, candidateOf, centreCandidates } from "../runs/index.js";
import { boxBehnken } from "./box-behnken.js";
import { type AxialDistance, centralComposite } from "./central-composite.js";
import { definitiveScreening } from "./definitive-screening.js";
import { describeAliases, minimumAberration } from "./fractional.js";
import { type PlackettBurmanRuns, plackettBurman } from "./plackett-burman.js";
import { crossLevels } from "./two-level.js";

/** Designs that are looked up or constructed rather than searched for. */
export type ClassicalKind = Exclude<DesignKind, "latin-hypercube" | "sobol" | "optimal">;

/** A textbook plan on the axes. */
export interface ClassicalPlan {
  readonly candidates: readonly Candidate[];
  readonly findings: readonly Finding[];
}

/** Fewest coupons a textbook design takes for these factors; undefined when it does not exist for them. */
export function classicalSize(kind: ClassicalKind, axes: readonly Axis[]): number | undefined {
  const k = axes.length;
  const twoLevel = axes.every((axis) => !axis.category || axis.values.length === 2);
  const numeric = axes.every((axis) => !axis.category);
  switch (kind) {
    case "factorial":
      return axes.reduce((product, axis) => product * (axis.category ? axis.values.length : 2), 1);
    case "fractional":
      return twoLevel && k >= 3 && k <= 8 ? 2 ** Math.ceil(Math.log2(k + 1)) : undefined;
    case "screening":
      return twoLevel && k <= 23 ? screeningRuns(k) : undefined;
    case "central-composite":
      return numeric && k >= 2 && k <= 8 ? cornersAndStars(k, "face").length + 1 : undefined;
    case "box-behnken":
      return numeric && k >= 3 && k <= 7 ? boxBehnken(k, 1).length : undefined;
    case "definitive-screening":
      return numeric && k >= 3 && k <= 12 ? 2 * (k + (k % 2)) + 1 : undefined;
  }
}

function screeningRuns(factors: number): PlackettBurmanRuns {
  return factors <= 11 ? 12 : factors <= 19 ? 20 : 24;
}

/** A central composite shrunk into the ranges. Only orthogonal blocks keep their blocks and their centre coupons. */
function cornersAndStars(factors: number, axial: AxialDistance): readonly CodedRun[] {
  const { alpha, runs } = centralComposite(factors, { axial });
  const reach = Math.max(1, alpha);
  const inside = runs.map((run) => ({ ...run, coded: run.coded.map((x) => x / reach) }));
  if (axial === "orthogonal-blocks") return inside;
  return inside.filter((run) => run.role !== "centre").map(({ role, coded }) => ({ role, coded }));
}

/**
 * Builds a textbook plan for at most `coupons` coupons: the design itself as often as it fits, then centre
 * coupons, then repeats spread over the design.
 *
 * @throws {BeadbenchError} `bad-argument` when the design does not exist for the factors or takes more coupons
 */
export function classicalPlan({
  kind,
  axes,
  coupons,
  centres,
  axial,
}: {
  readonly kind: ClassicalKind;
  readonly axes: readonly Axis[];
  readonly coupons: number;
  /** Wanted centre coupons; undefined: up to 5 of what is left over. */
  readonly centres: number | undefined;
  readonly axial: AxialDistance;
}): ClassicalPlan {
  const size = classicalSize(kind, axes);
  if (size === undefined) {
    throw new BeadbenchError(
      "bad-argument",
      `there is no ${kind} plan here for ${axes.length} factors${axes.some((axis) => axis.category) ? " with these categories" : ""}; choose "optimal" or "latin-hypercube"`,
    );
  }
  const { runs, findings } = baseRuns({ kind, axes, coupons, axial });
  const stepped = [...findings, ...steppingFinding(axes, runs)];
  if (kind === "central-composite" && axial === "orthogonal-blocks") {
    requireEnough({ kind, factors: axes.length, needed: runs.length, coupons });
    return { candidates: runs.map((run, i) => candidateOf(axes, run, i)), findings: stepped };
  }
  const own = runs.filter((run) => run.role === "centre").length;
  const atCentre = centres === undefined ? own : Math.max(centres, kind === "definitive-screening" ? own : 0);
  const outer = runs.filter((run) => run.role !== "centre");
  const needed = outer.length + atCentre;
  requireEnough({ kind, factors: axes.length, needed, coupons });
  const times = Math.floor((coupons - atCentre) / outer.length);
  const left = coupons - atCentre - times * outer.length;
  const extra = centres === undefined ? Math.min(left, Math.max(0, 5 - atCentre)) : 0;
  const spread = left - extra;
  const placed = outer.map((run, i) => candidateOf(axes, run, i));
  const again = (candidate: Candidate): Candidate => ({ ...candidate, role: "repeat" });
  const candidates = [
    ...placed,
    ...centreCandidates(axes, atCentre + extra),
    ...Array.from({ length: times - 1 }, () => placed.map(again)).flat(),
    ...Array.from({ length: spread }, (_, i) => again(placed[Math.floor((i * placed.length) / spread)]!)),
  ];
  return { candidates, findings: stepped };
}

function requireEnough({
  kind,
  factors,
  needed,
  coupons,
}: {
  readonly kind: ClassicalKind;
  readonly factors: number;
  readonly needed: number;
  readonly coupons: number;
}): void {
  requireThat(
    coupons >= needed,
    `a ${kind} plan of ${factors} factors takes ${needed} coupons, its centre coupons included, got ${coupons}; allow more, drop a factor, or choose "optimal" or "latin-hypercube"`,
  );
}

/** Says so when steps are too coarse for the textbook positions. */
function steppingFinding(axes: readonly Axis[], runs: readonly CodedRun[]): readonly Finding[] {
  const moved = axes.filter(
    (axis, j) =>
      !axis.category &&
      runs.some(({ coded }) => Math.abs(axis.coded[nearestLevel(axis, coded[j]!)]! - coded[j]!) > 0.05),
  );
  if (moved.length === 0) return [];
  return [
    {
      code: "moved-to-steps",
      severity: "info",
      message: `the steps of ${moved.map((axis) => axis.name).join(", ")} move some coupons by more than 2.5 % of the range from their textbook place`,
      about: moved.map((axis) => axis.name),
    },
  ];
}

function baseRuns({
  kind,
  axes,
  coupons,
  axial,
}: {
  readonly kind: ClassicalKind;
  readonly axes: readonly Axis[];
  readonly coupons: number;
  readonly axial: AxialDistance;
}): { readonly runs: readonly CodedRun[]; readonly findings: readonly Finding[] } {
  const k = axes.length;
  const plain = (rows: readonly (readonly number[])[]): readonly CodedRun[] =>
    rows.map((row) => ({ role: "factorial", coded: row.slice(0, k) }));
  switch (kind) {
    case "factorial": {
      const levels = axes.map((axis) => (axis.category && axis.values.length > 2 ? axis.coded : [-1, 1]));
      return { runs: plain(crossLevels(levels)), findings: [] };
    }
    case "fractional":
      return fraction(axes, coupons);
    case "screening":
      return {
        runs: plain(plackettBurman(screeningRuns(k))),
        findings: [
          {
            code: "partial-aliases",
            severity: "info",
            message:
              "main effects are clear of each other, but every product of two factors leaks a fixed part of its size, a third in 12 runs, into the main effects of other factors",
            advice: "follow up the two or three largest effects with a plan that can tell products apart",
          },
        ],
      };
    case "central-composite":
      return { runs: cornersAndStars(k, axial), findings: [] };
    case "box-behnken":
      return { runs: boxBehnken(k, 1), findings: [] };
    case "definitive-screening":
      return { runs: definitiveScreening(k), findings: [] };
  }
}

/** The largest fraction, half of the full factorial at most, that the coupons allow. */
function fraction(
  axes: readonly Axis[],
  coupons: number,
): { readonly runs: readonly CodedRun[]; readonly findings: readonly Finding[] } {
  const k = axes.length;
  const fewest = Math.ceil(Math.log2(k + 1));
  const basic = Math.max(fewest, Math.min(k - 1, Math.floor(Math.log2(Math.max(coupons, 1)))));
  const { rows, resolution, generators, definingRelation } = minimumAberration(k, k - basic);
  const aliases = describeAliases(
    axes.map((axis) => axis.name),
    definingRelation,
  );
  const roman = ["III", "IV", "V", "VI", "VII", "VIII"][resolution - 3]!;
  return {
    runs: rows.map((coded) => ({ role: "factorial", coded })),
    findings: [
      {
        code: "aliases",
        severity: resolution <= 3 ? "warning" : "info",
        message: `a 2^(${k}-${k - basic}) fraction of resolution ${roman}, generators ${generators.join(", ")} (letters in the order of the factors): ${
          aliases.length === 0
            ? "all main effects and products of two factors are clear of each other"
            : aliases.join("; ")
        }`,
        ...(aliases.length === 0
          ? {}
          : {
              advice: "where a mixed pair matters, run the mirror-image fraction or an optimal augmentation",
            }),
      },
    ],
  };
}
