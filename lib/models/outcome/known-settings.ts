import { BeadbenchError, type Finding, ownValue } from "../../errors/index.js";
import { percent, significant } from "../../numeric/index.js";
import { settingText } from "../../study/definition/index.js";
import type { KnownSetting, StudyDefinition } from "../../study/index.js";
import { withUnit } from "../../units/index.js";

/**
 * A known setting that a study can take.
 *
 * @throws {BeadbenchError} `bad-argument` for a name, a level or a number that the study does not know
 */
export function requireKnown(
  { factors, responses }: StudyDefinition,
  known: KnownSetting,
  place: number,
): KnownSetting {
  const refuse = (name: string, fault: string): never => {
    throw new BeadbenchError("bad-argument", `known[${place}]: ${name} ${fault}`);
  };
  const { settings, measured = {}, passed = {}, good } = known;
  for (const [name, value] of Object.entries(settings)) {
    const factor = factors.find((one) => one.name === name);
    if (factor === undefined) {
      refuse(
        name,
        `is no factor of this study; its factors are ${factors.map((one) => one.name).join(", ")}`,
      );
    } else if (factor.kind === "category") {
      if (factor.levels?.includes(value) !== true)
        refuse(name, `must be one of ${factor.levels?.join(", ")}, got ${JSON.stringify(value)}`);
    } else if (!Number.isFinite(value) || (factor.low > 0 && Number(value) <= 0)) {
      refuse(name, `must be a number${factor.low > 0 ? " above 0" : ""}, got ${JSON.stringify(value)}`);
    }
  }
  for (const name of [...Object.keys(measured), ...Object.keys(passed)]) {
    if (!responses.some((response) => response.name === name)) {
      refuse(
        name,
        `is no response of this study; its responses are ${responses.map((one) => one.name).join(", ")}`,
      );
    }
  }
  for (const [name, value] of Object.entries(measured)) {
    if (!Number.isFinite(value)) refuse(name, `must be a number, got ${JSON.stringify(value)}`);
  }
  if (good === undefined && Object.keys(measured).length + Object.keys(passed).length === 0)
    refuse("the setting", "says nothing of how it ran; give good, measured or passed");
  return known;
}

/** Chance from which a known setting is said to disagree with the coupons. */
const DISAGREES = 0.6;

/** How each known setting was understood, and whether the coupons bear it out. */
export function memoryFindings(
  definition: StudyDefinition,
  known: readonly KnownSetting[],
  misremembered: readonly number[],
): readonly Finding[] {
  return known.map((one, i): Finding => {
    const wrong = misremembered[i]!;
    const what = understood(definition, one);
    return wrong >= DISAGREES
      ? {
          code: "known-setting-doubted",
          severity: "warning",
          message: `what is known from before, ${what}, does not agree with the rest (chance ${percent(wrong)} that it was otherwise); it counts for little here`,
          advice: "look whether it is remembered rightly, or ran on another rig; else leave it out",
        }
      : {
          code: "known-setting",
          severity: "info",
          message: `known from before: ${what}; it counts for less than a logged coupon`,
          advice: "if all its settings are on paper, log it as a coupon instead",
        };
  });
}

/** A known setting as it was understood. */
function understood(
  { factors, responses }: StudyDefinition,
  { settings, measured = {}, passed = {}, good }: KnownSetting,
): string {
  const named = factors.filter(({ name }) => Object.hasOwn(settings, name));
  const open = factors.filter(({ name }) => !Object.hasOwn(settings, name)).map(({ name }) => name);
  const readings = responses.flatMap(({ name, unit }) => {
    if (Object.hasOwn(measured, name))
      return [`${name} ${withUnit(significant(ownValue(measured, name)!), unit)}`];
    return Object.hasOwn(passed, name) ? [`${name} ${ownValue(passed, name) ? "passed" : "failed"}`] : [];
  });
  return [
    ...named.map(({ name, unit }) => `${name} ${withUnit(settingText(ownValue(settings, name)!), unit)}`),
    ...(good === undefined ? [] : [good ? "good" : "poor"]),
    ...readings,
    ...(open.length === 0 ? [] : [`${open.join(", ")} not told`]),
  ].join(", ");
}
