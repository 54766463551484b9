import { BeadbenchError, ownValue } from "../../errors/index.js";
import { rounds, settingDigits } from "../../numeric/index.js";
import { convert, parseIn, type Quantity, sameDimension } from "../../units/index.js";
import type { SequenceStep, StartStop } from "../preset/index.js";
import type { MachineMap } from "./machine-map.js";
import { plainText, wordNumber } from "./words.js";

/** One line of a start or stop: words, or none where only a remark is due. */
export interface SwitchLine {
  readonly words: string;
  /** Plain text, without parentheses. */
  readonly remark: string;
}

/** How numbers are written: as they are, or by the name of the parameter that holds them. */
export interface NumberStyle {
  /** The text of a number that a name stands for. */
  named(name: string, value: number): string;
}

/** Numbers as they are. */
export const plainNumbers: NumberStyle = { named: (_, value) => wordNumber(value) };

/** Settings and sequence of one bead, as a program needs them. */
export interface BeadSwitching {
  readonly settings: Readonly<Record<string, Quantity>>;
  readonly sequence: StartStop;
  readonly machine: MachineMap;
  readonly style: NumberStyle;
}

/** Parts a slope is cut into where the program sets the current. */
const SLOPE_STEPS = 10;

/** The settings a machine's program sets, in the units of its map, refused where it cannot. */
export function mappedSettings(
  { values }: MachineMap,
  settings: Readonly<Record<string, Quantity>>,
): ReadonlyMap<string, number> {
  return new Map(
    Object.entries(settings).flatMap(([name, { value, unit }]) => {
      const map = ownValue(values, name);
      return map === undefined ? [] : [[name, inReach(name, inUnit(name, { value, unit }, map.unit), map)]];
    }),
  );
}

function inUnit(name: string, { value, unit }: Quantity, wanted: string): number {
  if (sameDimension(unit, wanted)) return rounds(convert(value, unit, wanted));
  throw new BeadbenchError(
    "refused",
    `the machine map sets ${name} in ${wanted}, which is no unit of ${value} ${unit}: mend "values.${name}.unit"`,
  );
}

function inReach(
  name: string,
  value: number,
  { low, high, unit }: { readonly low: number; readonly high: number; readonly unit: string },
): number {
  if (value >= low && value <= high) return value;
  throw new BeadbenchError(
    "refused",
    `${name} ${settingDigits(value)} ${unit} is beyond what the machine map allows, ${low} to ${high} ${unit}`,
  );
}

/** The word that sets a value, from the text of its number. */
function setWords({ machine, style }: BeadSwitching, name: string, text: string): string {
  const { words, scale, offset } = ownValue(machine.values, name)!;
  if (scale === 1 && offset === 0) return `${words}${text}`;
  if (style === plainNumbers) return `${words}${wordNumber(Number(text) * scale + offset)}`;
  const scaled = scale === 1 ? text : `${text} * ${wordNumber(scale)}`;
  const moved = offset === 0 ? "" : ` ${offset < 0 ? "-" : "+"} ${wordNumber(Math.abs(offset))}`;
  return `${words}[${scaled}${moved}]`;
}

const find = (steps: readonly SequenceStep[], name: SequenceStep["name"]): number | undefined =>
  steps.find((step) => step.name === name)?.value;

const line = (words: string, remark: string): SwitchLine => ({ words, remark });

/** A wait for the time of a step; nothing where the study has no such step or it takes none. */
function wait(
  { style }: BeadSwitching,
  steps: readonly SequenceStep[],
  name: SequenceStep["name"],
): readonly SwitchLine[] {
  const time = find(steps, name);
  return time === undefined || (time === 0 && style === plainNumbers)
    ? []
    : [line(`G4 P${style.named(name, time)}`, `${name.replaceAll("_", " ")} s`)];
}

/** The current from one level to another in equal parts of a step's time; a plain wait where the program does not set it. */
function slope(bead: BeadSwitching, which: "up_slope" | "down_slope"): readonly SwitchLine[] {
  const { machine, sequence, style } = bead;
  const steps = which === "up_slope" ? sequence.start : sequence.stop;
  const time = find(steps, which);
  const full = mappedSettings(machine, bead.settings).get("current");
  const end = find(sequence.stop, "end_current");
  if (time === undefined || time === 0) return [];
  if (full === undefined || end === undefined) return wait(bead, steps, which);
  const least = inReach(
    "end_current",
    convert(end, "A", machine.values.current!.unit),
    machine.values.current!,
  );
  const plain = style === plainNumbers;
  return Array.from({ length: SLOPE_STEPS }, (_, i) => {
    const share = which === "up_slope" ? (i + 1) / SLOPE_STEPS : 1 - (i + 1) / SLOPE_STEPS;
    const text = plain
      ? wordNumber(least + (full - least) * share)
      : `[${style.named("end_current", least)} + [${style.named("current", full)} - ${style.named("end_current", least)}] * ${wordNumber(share)}]`;
    const pause = plain ? wordNumber(time / SLOPE_STEPS) : `[${style.named(which, time)} / ${SLOPE_STEPS}]`;
    const remark = `${which.replace("_", "-")} ${i + 1} of ${SLOPE_STEPS}`;
    // Up: a part's time passes before its level; down: at it.
    return [line(setWords(bead, "current", text), remark), line(`G4 P${pause}`, "s")];
  }).flat();
}

/** Lines that bring the arc to its setting with the wire fed, torch standing: gas, arc, slope, pool, wire. */
export function startLines(bead: BeadSwitching): readonly SwitchLine[] {
  const { machine, sequence, settings, style } = bead;
  const { gas, fan, relays = [], feed, arc } = machine.outputs;
  const mapped = mappedSettings(machine, settings);
  const slopes =
    (find(sequence.start, "up_slope") ?? 0) > 0 && find(sequence.stop, "end_current") !== undefined;
  return [
    ...relays.map(({ name, on }) => line(on, `${plainText(name)} on`)),
    ...(fan === undefined ? [] : [line(fan.on, "fan on")]),
    ...[...mapped].map(([name, value]) =>
      name === "current" && slopes
        ? line(
            setWords(bead, name, style.named("end_current", find(sequence.stop, "end_current")!)),
            "current to begin the slope at",
          )
        : line(setWords(bead, name, style.named(name, value)), `${name.replaceAll("_", " ")}`),
    ),
    ...(gas === undefined ? [] : [line(gas.on, "gas on")]),
    ...wait(bead, sequence.start, "pre_flow"),
    line(arc.on, "arc on"),
    ...slope(bead, "up_slope"),
    ...wait(bead, sequence.start, "pool_dwell"),
    ...(feed === undefined
      ? []
      : [...wait(bead, sequence.start, "feed_delay"), line(feed.on, "wire feed on")]),
  ];
}

/** Lines that end a bead, torch standing: wire off and back, slope, arc off, gas after it; fan and relays stay on. */
export function stopLines(bead: BeadSwitching): readonly SwitchLine[] {
  const { machine, sequence, style } = bead;
  const { gas, feed, arc, retract } = machine.outputs;
  const pulled = find(sequence.stop, "retract") ?? 0;
  const speed = retract === undefined ? 0 : parseIn(retract.speed, "mm/s");
  const time =
    style === plainNumbers
      ? wordNumber(pulled / speed)
      : `[${style.named("retract", pulled)} / ${wordNumber(speed)}]`;
  const pull =
    retract === undefined || pulled === 0
      ? []
      : [line(retract.on, "wire back"), line(`G4 P${time}`, "s"), line(retract.off, "wire stands")];
  return [
    ...(feed === undefined ? [] : [line(feed.off, "wire feed off")]),
    ...wait(bead, sequence.stop, "melt_back_delay"),
    ...pull,
    ...slope(bead, "down_slope"),
    line(arc.off, "arc off"),
    ...wait(bead, sequence.stop, "post_flow"),
    ...(gas === undefined ? [] : [line(gas.off, "gas off")]),
  ];
}

/** Lines that end the work: what outlasts every bead, since fume and heat do, goes off last. */
export function endLines({ outputs: { fan, relays = [] } }: MachineMap): readonly SwitchLine[] {
  return [
    ...(fan === undefined ? [] : [line(fan.off, "fan off")]),
    ...relays.map(({ name, off }) => line(off, `${plainText(name)} off`)),
  ];
}

/** Lines that switch everything off at once, wire and arc first. */
export function allOffLines({ outputs }: MachineMap): readonly SwitchLine[] {
  const { feed, retract, arc, gas } = outputs;
  return [
    ...(feed === undefined ? [] : [line(feed.off, "wire feed off")]),
    ...(retract === undefined ? [] : [line(retract.off, "wire stands")]),
    line(arc.off, "arc off"),
    ...(gas === undefined ? [] : [line(gas.off, "gas off")]),
  ];
}

/** What of a start and stop, and of the settings, a machine map has no words for. */
export function unswitched(
  { machine, sequence, settings }: Omit<BeadSwitching, "style">,
  words: Readonly<Record<string, string>> = {},
): readonly string[] {
  const { outputs } = machine;
  const has = (name: SequenceStep["name"]): boolean =>
    [...sequence.start, ...sequence.stop].some((step) => step.name === name && step.value > 0);
  const byHand = [
    ...Object.keys(settings).filter((name) => ownValue(machine.values, name) === undefined),
    ...Object.keys(words),
  ].filter((name) => !["travel_speed", "standoff"].includes(name));
  return [
    ...(outputs.gas === undefined
      ? ["gas on and off: the machine map switches no gas, its times are waits"]
      : []),
    ...(outputs.feed === undefined && has("melt_back_delay")
      ? ["wire feed on and off: the machine map switches no feed"]
      : []),
    ...(outputs.retract === undefined && has("retract")
      ? ["retract of the wire: the machine map has no output that pulls it back"]
      : []),
    ...(ownValue(machine.values, "current") === undefined && (has("up_slope") || has("down_slope"))
      ? ["slopes of the current: the source must make them, the program waits for their time"]
      : []),
    ...(byHand.length === 0
      ? []
      : [`settings the program does not set, to be set by hand: ${byHand.join(", ")}`]),
  ];
}
