import type { Finding } from "../../errors/index.js";
import { fixed } from "../../numeric/index.js";
import type { Estimate } from "./estimate.js";
import type { RegulationVerdict } from "./kinds.js";
import type { StationSeries } from "./layer-log.js";
import type { PlainSlopes } from "./plain-slopes.js";
import type { KindChance } from "./posterior.js";

/** Chance above which a structure is worth telling. */
const LIKELY = 0.8;

/** What a user should know about a drift fit. */
export function driftFindings({
  slope,
  verdict,
  plain,
  series,
  kinds,
}: {
  readonly slope: Estimate;
  readonly verdict: RegulationVerdict;
  readonly plain: PlainSlopes | null;
  readonly series: readonly StationSeries[];
  readonly kinds: readonly KindChance[];
}): readonly Finding[] {
  const findings: Finding[] = [];
  const range = `${fixed(slope.lower, 2)} to ${fixed(slope.upper, 2)}`;
  if (verdict === "cannot-tell") {
    findings.push({
      code: "regulation-undecided",
      severity: "warning",
      message: `${slope.lower === slope.upper ? "layers that do not answer the stand-off fit the log best, others are not ruled out" : `the growth slope lies between ${range.replace(" to ", " and ")} mm per mm`}: the log cannot tell a rig that settles from one that runs away`,
      advice:
        "log more layers, start off the target stand-off, or step the rise up and down; correct the stand-off meanwhile",
    });
  }
  if (verdict === "runs-away") {
    findings.push({
      code: "standoff-runs-away",
      severity: "warning",
      message: `the growth slope (${range} mm per mm) makes every stand-off error grow`,
      advice: "correct the stand-off every few layers, or control it by arc voltage",
    });
  }
  if (plain !== null && plain.naive > slope.upper) {
    findings.push({
      code: "gauge-flatters",
      severity: "info",
      message: `plain regression gives ${fixed(plain.naive, 2)} mm per mm, which is gauge noise seen twice; corrected ${fixed(slope.estimate, 2)}`,
    });
  }
  const moving = kinds.reduce(
    (sum, { heating, scatter, chance }) =>
      heating === "changing" || scatter === "walking" ? sum + chance : sum,
    0,
  );
  if (moving > LIKELY) {
    findings.push({
      code: "growth-changes",
      severity: "warning",
      message: "the layer height changes along the build, as it does while the part heats up",
      advice: "hold the interpass temperature, and measure more often: the change may go on",
    });
  }
  const measured = series.reduce((sum, { standoff }) => sum + standoff.filter((s) => s !== null).length, 0);
  if (measured < 15) {
    findings.push({
      code: "few-layers",
      severity: "info",
      message: `${measured} measured layers: the intervals are wide and lean on what rigs are usually like`,
    });
  }
  return findings;
}
