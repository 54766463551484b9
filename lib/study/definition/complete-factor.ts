import { type Issue, onlyDefined } from "../../errors/index.js";
import { rounds } from "../../numeric/figures/index.js";
import type { Factor } from "./definition.js";
import type { RawStudy } from "./study-shape.js";

type RawFactor = RawStudy["factors"][number];

/** Fills what follows from the kind of factor, and adds a fault for what does not fit it. */
export function completeFactor(raw: RawFactor, path: string, issues: Issue[]): Factor {
  const fault = (field: string, message: string, got?: unknown): void => {
    issues.push({ column: `${path}.${field}`, message, ...(got === undefined ? {} : { got: String(got) }) });
  };
  if (raw.kind === "category") return completeCategory(raw, fault);
  if (raw.unit === undefined) fault("unit", 'is missing; write one such as "mm/min"');
  const levels = raw.kind === "discrete" ? discreteLevels(raw, fault) : undefined;
  if (raw.kind === "continuous" && raw.levels !== undefined) {
    fault("levels", 'a continuous factor has no levels; write kind "discrete" or remove them');
  }
  const low = raw.low ?? levels?.[0];
  const high = raw.high ?? levels?.at(-1);
  if (low === undefined) fault("low", "is missing; write the lowest setting to try");
  if (high === undefined) fault("high", "is missing; write the highest setting to try");
  if (low !== undefined && high !== undefined && low >= high)
    fault("low", `must be below high (${high})`, low);
  if (low !== undefined && high !== undefined && raw.step !== undefined && raw.step > high - low) {
    fault("step", `must fit between low and high (${high - low})`, raw.step);
  }
  if (levels !== undefined && (levels[0]! < low! || levels.at(-1)! > high!)) {
    fault("levels", `must lie between low (${low}) and high (${high})`, levels.join(", "));
  }
  return {
    ...raw,
    unit: raw.unit ?? "1",
    low: low ?? 0,
    high: high ?? 1,
    ...onlyDefined({ levels }),
  } as Factor;
}

type Fault = (field: string, message: string, got?: unknown) => void;

function completeCategory(raw: RawFactor, fault: Fault): Factor {
  const levels = raw.levels ?? [];
  if (levels.length === 0) fault("levels", 'is missing; list the names, such as ["fresh", "worn"]');
  if (levels.some((level) => typeof level !== "string"))
    fault("levels", "of a category must be texts", levels.join(", "));
  if (new Set(levels).size < levels.length) fault("levels", "must differ from each other", levels.join(", "));
  // A completed definition carries the indices of its first and last level: those may stand, also where levels were added or
  // taken out since.
  for (const field of ["low", "high", "step", "settingSd"] as const) {
    const isIndex = field === "low" ? raw.low === 0 : field === "high" && Number.isInteger(raw.high);
    if (raw[field] !== undefined && !isIndex)
      fault(field, "has no meaning for a category; remove it", raw[field]);
  }
  if (raw.unit !== undefined && raw.unit !== "1")
    fault("unit", "a category has no unit; remove it", raw.unit);
  return { ...raw, unit: "1", low: 0, high: Math.max(1, levels.length - 1) } as Factor;
}

/** Levels of a discrete factor in rising order: those listed, or from low to high by step. */
function discreteLevels(raw: RawFactor, fault: Fault): readonly number[] | undefined {
  const { low, high, step, levels } = raw;
  if (levels !== undefined) {
    const numbers = levels.filter((level): level is number => typeof level === "number");
    if (numbers.length < levels.length) {
      fault(
        "levels",
        'of a discrete factor must be numbers; write kind "category" for names',
        levels.join(", "),
      );
      return undefined;
    }
    if (new Set(numbers).size < numbers.length)
      fault("levels", "must differ from each other", levels.join(", "));
    return numbers.sort((a, b) => a - b);
  }
  if (low === undefined || high === undefined || step === undefined) {
    fault("levels", "is missing; list the settings a discrete factor can take, or give low, high and step");
    return undefined;
  }
  const count = Math.floor((high - low) / step + 1e-9);
  return Array.from({ length: count + 1 }, (_, i) => rounds(low + i * step, 12));
}
