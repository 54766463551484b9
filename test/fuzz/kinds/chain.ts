import type { RandomStream } from "../../../lib/numeric/index.js";
import { chance, pick } from "../mutate/odd.js";

type Line = readonly string[];

/** Commands that answer at once, of a study. */
export const quickLines = (study: string): readonly Line[] => [
  ["status", study],
  ["check", study],
  ["check", study, "--json"],
  ["export", study],
  ["export", study, "--format", "json"],
  ["physics", study],
  ["incidents", study],
  ["sheet", study, "--html", "sheet.html", "--csv", "sheet.csv"],
  ["plan", study, "--coupons", "5", "--design", "sobol", "--survival", "off", "--csv", "plan.csv"],
  ["plan", study, "--coupons", "8", "--design", "optimal", "--survival", "off", "--dry"],
  ["share", study, "--to", "shared.json", "--with", "text,costs"],
  ["merge", study, "full", "--dry"],
  ["compare", study, "day=1,2"],
  ["log", study, "N1", "current=140A", "bead_width=6 mm"],
  ["log", study, "--note", "looked at"],
  ["incident", study, "wire_stuck", "--lost", "3 min"],
  ["control", study],
  ["completion", "bash"],
  ["build", study, "wall-1", "--start"],
  [
    "program",
    study,
    "--machine",
    "machine.json",
    "--plate-width",
    "300 mm",
    "--plate-depth",
    "200 mm",
    "--standoff",
    "3 mm",
  ],
  ["recover", study, "recovered"],
  [
    "forecast",
    study,
    "--preset",
    "preset.json",
    "--length",
    "120 mm",
    "--layers",
    "10",
    "--html",
    "forecast.html",
  ],
  ["wall", study, "--preset", "preset.json", "--length", "120 mm", "--layers", "10", "--json"],
  ["export", study, "--preset", "preset.json", "--format", "procedure", "--to", "procedure.html"],
  ["confirm", study, "--preset", "preset.json"],
];

/** Commands that fit the outcome model, which takes seconds. */
export const slowLines = (study: string): readonly Line[] => [
  ["fit", study],
  ["window", study],
  ["next", study, "--coupons", "2"],
  ["preset", study, "--unproven", "--json", "made.json"],
  ["report", study, "--html", "report.html"],
  ["draw", study, "coverage", "--svg", "c.svg"],
  ["evaluate", study],
  ["plan", study, "--coupons", "6"],
];

/** What may come after a study was accepted; commands that take seconds are asked seldom, by `slow`. */
export function chain(draw: RandomStream, study: string, slow: number): readonly Line[] {
  return [
    ...(chance(draw, 0.7) ? [pick(draw, quickLines(study))] : []),
    ...(chance(draw, slow) ? [pick(draw, slowLines(study))] : []),
  ];
}
