import { type Issue, onlyDefined } from "../../errors/index.js";
import { kindFault, sameDimension } from "../../units/index.js";
import { suggestion } from "../shape/index.js";
import { completeFactor } from "./complete-factor.js";
import type { Limit, Quantity, Response, StudyDefinition } from "./definition.js";
import { readKnownSetting } from "./known-setting.js";
import { kindRules } from "./response-kind.js";
import type { RawStudy } from "./study-shape.js";

/** Column names a CSV uses for itself. */
export const reservedNames: readonly string[] = ["coupon", "run_order", "role", "state", "note", "time"];

/** Checks the rules between fields and fills what follows from others. */
export function completeDefinition(
  raw: RawStudy,
): { readonly definition: StudyDefinition } | { readonly issues: readonly Issue[] } {
  const issues: Issue[] = [];
  const factors = raw.factors.map((factor, i) => completeFactor(factor, `factors[${i}]`, issues));
  const responses = raw.responses.map((response, i) => completeResponse(response, `responses[${i}]`, issues));
  checkNames(raw, issues);
  checkWire(raw, issues);
  checkDimension({ found: raw.wire?.diameter, like: "mm", path: "wire.diameter", issues });
  checkDimension({ found: raw.base?.thickness, like: "mm", path: "base.thickness", issues });
  checkDimension({ found: raw.base?.diameter, like: "mm", path: "base.diameter", issues });
  checkDimension({ found: raw.gas?.flow, like: "L/min", path: "gas.flow", issues });
  raw.limits.forEach((limit, i) => {
    checkLimit({ limit: limit as Limit, raw, path: `limits[${i}]`, issues });
  });
  if (issues.length > 0) return { issues };
  raw.known?.forEach((said, i) => {
    const read = readKnownSetting({ factors, responses, ...onlyDefined({ rig: raw.rig }) }, said);
    if (typeof read === "string") issues.push({ column: `known[${i}]`, message: read, got: said });
  });
  if (issues.length > 0) return { issues };
  // Optional fields left out are absent, never `undefined`: JSON has no undefined.
  return { definition: JSON.parse(JSON.stringify({ ...raw, factors, responses })) as StudyDefinition };
}

function completeResponse(raw: RawStudy["responses"][number], path: string, issues: Issue[]): Response {
  const rules = kindRules(raw.kind);
  const { unit = rules.ownUnit ? undefined : "1", spec } = raw;
  if (unit === undefined)
    issues.push({ column: `${path}.unit`, message: 'is missing; write one such as "mm"' });
  if (!rules.spec && spec !== undefined) {
    issues.push({
      column: `${path}.spec`,
      message: `a ${raw.kind} response has no spec: passing is the spec; remove it`,
    });
  }
  if (rules.cells !== "verdicts" && raw.good !== undefined) {
    issues.push({
      column: `${path}.good`,
      message: 'only a passFail response has a good answer; numbers have a "spec"',
      got: raw.good,
    });
  }
  if (!rules.logScale && raw.scale === "log") {
    issues.push({ column: `${path}.scale`, message: 'only a measured response can have the scale "log"' });
  }
  const { lower, target, upper } = spec ?? {};
  const ordered = [lower, target, upper].filter((value): value is number => value !== undefined);
  if (ordered.some((value, i) => i > 0 && value < ordered[i - 1]!)) {
    issues.push({
      column: `${path}.spec`,
      message: "needs lower <= target <= upper",
      got: ordered.join(", "),
    });
  }
  if (raw.scale === "log" && ordered.some((value) => value <= 0)) {
    issues.push({
      column: `${path}.spec`,
      message: 'must be above 0 on the scale "log"',
      got: ordered.join(", "),
    });
  }
  return { ...raw, unit: unit ?? "1" } as Response;
}

/** Settings of which the physics makes nothing without a wire. */
const FED = ["wire_feed_speed", "stickout"];

function checkWire({ wire, factors, rig }: RawStudy, issues: Issue[]): void {
  if (wire !== undefined) return;
  const fed = [...factors.map(({ name }) => name), ...Object.keys(rig?.settings ?? {})].find((name) =>
    FED.includes(name),
  );
  if (fed === undefined) return;
  const example = '{ "classification": "ER308L", "diameter": "1.2 mm" }';
  issues.push({ column: "wire", message: `is missing, though ${fed} is set; write "wire": ${example}` });
}

function checkNames(raw: RawStudy, issues: Issue[]): void {
  const places = new Map<string, string>(reservedNames.map((name) => [name, "a column of the CSV"]));
  const named = [
    ...raw.factors.map(({ name }, i) => ({ name, path: `factors[${i}].name` })),
    ...raw.responses.map(({ name }, i) => ({ name, path: `responses[${i}].name` })),
    ...raw.blocks.map((name, i) => ({ name, path: `blocks[${i}]` })),
    ...Object.keys(raw.rig?.settings ?? {}).map((name) => ({ name, path: `rig.settings.${name}` })),
  ];
  for (const { name, path } of named) {
    const other = places.get(name);
    if (other !== undefined) {
      issues.push({ column: path, message: `the name is taken by ${other}; choose another`, got: name });
    } else places.set(name, path);
  }
  for (const { name, path } of named) {
    const station = /^(.+)_\d+$/.exec(name)?.[1];
    if (station !== undefined && raw.responses.some((response) => response.name === station)) {
      issues.push({
        column: path,
        message: `reads like a station of the response "${station}"; rename it`,
        got: name,
      });
    }
  }
}

function checkDimension({
  found,
  like,
  path,
  issues,
}: {
  readonly found: Quantity | undefined;
  readonly like: string;
  readonly path: string;
  readonly issues: Issue[];
}): void {
  if (found === undefined) return;
  if (!sameDimension(found.unit, like)) {
    issues.push({ column: `${path}.unit`, message: kindFault(found.unit, like), got: found.unit });
  }
  if (found.value <= 0)
    issues.push({ column: `${path}.value`, message: "must be above 0", got: `${found.value}` });
}

function checkLimit({
  limit,
  raw,
  path,
  issues,
}: {
  readonly limit: Limit;
  readonly raw: RawStudy;
  readonly path: string;
  readonly issues: Issue[];
}): void {
  const { min, max } = limit;
  if (min === undefined && max === undefined)
    issues.push({ column: path, message: "needs min, max or both" });
  if (min !== undefined && max !== undefined && min > max) {
    issues.push({ column: path, message: "needs min <= max", got: `${min}, ${max}` });
  }
  if (!("terms" in limit)) return;
  const numeric = raw.factors.filter(({ kind }) => kind !== "category").map(({ name }) => name);
  if (Object.keys(limit.terms).length === 0)
    issues.push({ column: `${path}.terms`, message: "needs at least one factor" });
  for (const name of Object.keys(limit.terms)) {
    if (!numeric.includes(name)) {
      const hint = suggestion(name, numeric) || `; factors with numbers: ${numeric.join(", ")}`;
      issues.push({ column: `${path}.terms.${name}`, message: `is no factor with numbers${hint}` });
    }
  }
}
