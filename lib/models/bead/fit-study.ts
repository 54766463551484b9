import { BeadbenchError, type Finding } from "../../errors/index.js";
import { mean, standardDeviation } from "../../numeric/index.js";
import type { Coupon, StudyDefinition } from "../../study/index.js";
import { type ConstrainedFit, type ConstrainedResponse, fitConstrained } from "./constrained-fit.js";
import { powerLawData } from "./power-law-data.js";
import { type BeadFitOptions, type FittedCoupon, fitPowerLaw, type PowerLawFit } from "./power-law-fit.js";

/** Models of all measured responses of a study. Plain data. */
export interface StudyFit {
  /** One power law per measured response, with the kind of scatter the data support better. */
  readonly powerLaws: readonly PowerLawFit[];
  /** Present when width and height can be fitted together. */
  readonly constrained?: ConstrainedFit;
  /** Form to use for bead_width and bead_height. */
  readonly chosen: "power-law" | "constrained";
  /** Why, with the numbers. */
  readonly explanation: string;
  /** Coupons left out at the user's wish. */
  readonly without: readonly string[];
  readonly findings: readonly Finding[];
}

/**
 * Fits every measured response, width and height also in the constrained form, and chooses the form for
 * the bead by leave-one-out error: the constrained one, which conserves the wire with fewer coefficients,
 * unless free power laws predict left-out coupons better by more than one standard error.
 *
 * A response that cannot be fitted is said in the findings; the others are still answered.
 *
 * @throws {BeadbenchError} `not-enough-data` when no response can be fitted; `bad-argument` for an unknown coupon in `without`
 */
export function fitStudy(
  definition: StudyDefinition,
  coupons: readonly Coupon[],
  options: BeadFitOptions = {},
): StudyFit {
  const without = options.without ?? [];
  const unknown = without.filter((id) => !coupons.some((coupon) => coupon.id === id));
  if (unknown.length > 0) {
    throw new BeadbenchError("bad-argument", `no coupon called ${unknown.join(", ")} in this study`);
  }
  const findings: Finding[] = leftOutFindings(without);
  const tried = <T>(work: () => T): T | undefined => {
    try {
      return work();
    } catch (error) {
      if (!(error instanceof BeadbenchError) || error.code !== "not-enough-data") throw error;
      findings.push({ code: "not-fitted", severity: "warning", message: error.message });
      return undefined;
    }
  };
  const responses = definition.responses.filter(({ kind }) => kind === "measured").map(({ name }) => name);
  const powerLaws = responses.flatMap((response) => {
    const fit = tried(() => betterPowerLaw(definition, coupons, response, options));
    return fit === undefined ? [] : [fit];
  });
  if (powerLaws.length === 0) {
    throw new BeadbenchError(
      "not-enough-data",
      `nothing can be fitted yet:\n${findings.map(({ message }) => `  ${message}`).join("\n")}`,
    );
  }
  const hasBead = ["bead_width", "bead_height"].every((name) => responses.includes(name));
  const constrained = hasBead ? tried(() => fitConstrained(definition, coupons, options)) : undefined;
  const { chosen, explanation } = choose(powerLaws, constrained);
  return {
    powerLaws,
    ...(constrained === undefined ? {} : { constrained }),
    chosen,
    explanation,
    without,
    findings: [
      ...findings,
      ...powerLaws.flatMap((fit) => [...fit.findings, ...lackOfFitFindings(fit)]),
      ...(constrained?.findings ?? []),
    ],
  };
}

function betterPowerLaw(
  definition: StudyDefinition,
  coupons: readonly Coupon[],
  response: string,
  options: BeadFitOptions,
): PowerLawFit {
  const data = powerLawData(definition, coupons, response, options);
  const proportional = fitPowerLaw(data, "proportional", options.level);
  const additive = fitPowerLaw(data, "additive", options.level);
  return additive.aicc < proportional.aicc ? additive : proportional;
}

function choose(
  powerLaws: readonly PowerLawFit[],
  constrained: ConstrainedFit | undefined,
): Pick<StudyFit, "chosen" | "explanation"> {
  const width = powerLaws.find(({ response }) => response === "bead_width");
  const height = powerLaws.find(({ response }) => response === "bead_height");
  if (constrained === undefined) {
    return {
      chosen: "power-law",
      explanation:
        "only free power laws could be fitted: the constrained form needs bead width and height, wire feed and travel speed on the same coupons",
    };
  }
  if (width === undefined || height === undefined) {
    return {
      chosen: "constrained",
      explanation: "width and height could only be fitted together, by mass balance",
    };
  }
  const { gain, standardError } = leaveOneOutGain(constrained, width, height);
  const figures = `leave-one-out error of width ${pc(constrained.width)} constrained, ${pc(width)} free; of height ${pc(constrained.height)} constrained, ${pc(height)} free`;
  const saved = width.terms.length + height.terms.length - constrained.terms.length;
  return gain < -standardError
    ? {
        chosen: "power-law",
        explanation: `free power laws predict left-out coupons better by more than one standard error (${figures}): fullness seems to change over the window`,
      }
    : {
        chosen: "constrained",
        explanation: `the constrained form, which conserves the wire with ${saved} coefficients fewer, predicts left-out coupons ${gain > standardError ? "better" : "as well"} (${figures})`,
      };
}

const pc = ({ leaveOneOutError }: Pick<ConstrainedResponse, "leaveOneOutError">): string =>
  `${(100 * leaveOneOutError).toFixed(1)} %`;

/** Mean drop in scaled squared leave-one-out error per coupon by the constrained form, and its standard error. */
function leaveOneOutGain(
  constrained: ConstrainedFit,
  width: PowerLawFit,
  height: PowerLawFit,
): { readonly gain: number; readonly standardError: number } {
  const differences = [
    ...scaledDifferences(width.coupons, constrained.width.coupons),
    ...scaledDifferences(height.coupons, constrained.height.coupons),
  ];
  return {
    gain: mean(differences),
    standardError: standardDeviation(differences) / Math.sqrt(differences.length),
  };
}

function scaledDifferences(free: readonly FittedCoupon[], bound: readonly FittedCoupon[]): readonly number[] {
  const other = new Map(bound.map((coupon) => [coupon.coupon, coupon]));
  const square = ({ measured, leftOut }: FittedCoupon): number =>
    Math.log(measured / Math.max(leftOut, 1e-12)) ** 2;
  const pairs = free.flatMap((coupon) => {
    const twin = other.get(coupon.coupon);
    return twin === undefined ? [] : [[square(coupon), square(twin)] as const];
  });
  const scale = mean(pairs.map(([a, b]) => (a + b) / 2));
  return pairs.map(([a, b]) => (a - b) / scale);
}

function lackOfFitFindings({ response, lackOfFit }: PowerLawFit): readonly Finding[] {
  if (lackOfFit === undefined || lackOfFit.p >= 0.05) return [];
  return [
    {
      code: "lack-of-fit",
      severity: "warning",
      message: `${response}: the power law misses the means of repeated settings by more than their scatter explains (F = ${lackOfFit.f.toFixed(2)}, p = ${lackOfFit.p.toPrecision(2)})`,
      advice:
        "some setting acts otherwise than by a power, or something drifted between sessions; look at the residuals by session and narrow the window",
      about: [response],
    },
  ];
}

function leftOutFindings(without: readonly string[]): Finding[] {
  if (without.length === 0) return [];
  return [
    {
      code: "left-out",
      severity: "info",
      message: `left out at your wish: ${without.join(", ")}`,
      about: without,
    },
  ];
}
