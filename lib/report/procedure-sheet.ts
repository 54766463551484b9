import { brief, inWords, percent, sentence, significant } from "../numeric/index.js";
import {
  doubtMark,
  type Preset,
  type PresetSetting,
  rigCautions,
  type SequenceStep,
} from "../presets/index.js";
import { processFacts, processOf } from "../process/index.js";
import { rangeText } from "../study/definition/index.js";
import { type Quantity, withUnit } from "../units/index.js";
import { settingCell } from "./words.js";

/** One line of the sheet: what is asked, what is known of it, and the range it may move in. */
export interface ProcedureLine {
  readonly what: string;
  /** Empty where somebody has to fill it in. */
  readonly value: string;
  readonly range: string;
}

/** Lines under a heading of the standard's order. */
export interface ProcedurePart {
  readonly heading: string;
  readonly lines: readonly ProcedureLine[];
}

/** A welding procedure's data, preliminary and unqualified. Plain data; every text is plain text. */
export interface ProcedureSheet {
  readonly title: string;
  readonly subtitle: string;
  /** Why the settings are in doubt; absent where they are not. */
  readonly mark?: string;
  readonly parts: readonly ProcedurePart[];
  readonly cautions: readonly string[];
  /** What of the preset the sheet does not hold. */
  readonly lost: readonly string[];
}

/** Settings by the part they belong to; all others are technique. */
const electrical = /current|voltage|pulse|frequency|polarity|power/;
const mechanised = /travel_speed|wire_feed|feed_speed/;
const warmth = /temperature|dwell|preheat/;
const gases = /gas|flow|purge/;

/**
 * A preset as the data sheet of a welding procedure, in the order in which ISO 15609-1 lists its content (from memory; the
 * standard rules). What a preset does not know stays empty for a pen. It qualifies nothing: ISO 15607 and the codes that call for
 * qualification ask for a test witnessed by others.
 */
export function procedureSheet(preset: Preset): ProcedureSheet {
  const mark = doubtMark(preset);
  const { study, made, basis } = preset;
  return {
    title: `Preliminary welding procedure data: ${study}`,
    subtitle: `Made ${made.slice(0, 10)} from ${basis.coupons === 1 ? "1 coupon" : `${basis.coupons} coupons`}; to be reviewed by ${preset.review.by}, and ${preset.review.sooner}.`,
    ...(mark === undefined ? {} : { mark }),
    parts: [...materialParts(preset), ...settingParts(preset), ...endParts(preset)],
    cautions: rigCautions(preset),
    lost: [
      ...(preset.settings.some(({ tried, step }) => tried !== undefined || step !== undefined)
        ? ["steps of the settings and what each was tried at"]
        : []),
      "ranges of settings moved one at a time",
      ...(preset.schedule === undefined ? [] : ["the layer schedule, layer by layer"]),
      ...(preset.findings.length === 0 ? [] : ["findings about the preset"]),
    ],
  };
}

const known = (what: string, value: string, range = ""): ProcedureLine => ({ what, value, range });
const open = (what: string): ProcedureLine => known(what, "");
const quantityText = (quantity: Quantity | undefined): string =>
  quantity === undefined ? "" : withUnit(settingCell(quantity.value), quantity.unit);

function materialParts({ base, process, schedule }: Preset): readonly ProcedurePart[] {
  return [
    {
      heading: "Manufacturer",
      lines: [
        open("Manufacturer, place"),
        open("Number of this sheet"),
        known("Procedure qualification record", "none: preliminary and unqualified"),
      ],
    },
    {
      heading: "Parent material",
      lines: [
        known("Designation and standard", base?.material ?? ""),
        open("Group (ISO/TR 15608)"),
        known("Thickness", quantityText(base?.thickness)),
        known("Outside diameter", quantityText(base?.diameter)),
      ],
    },
    {
      heading: "Process and joint",
      lines: [
        known("Welding process (ISO 4063)", `${process}, mechanised, beads laid on one another`),
        known(
          "Joint design, run sequence",
          schedule === undefined
            ? "build-up, no joint; sketch on a sheet of its own"
            : `build-up of ${schedule.layers.length} layers, ${brief(schedule.path, 5)} mm each; no joint`,
        ),
        open("Welding position (ISO 6947)"),
        open("Preparation, cleaning, jigging"),
        open("Backing, back gouging"),
      ],
    },
  ];
}

function settingParts(preset: Preset): readonly ProcedurePart[] {
  const { wire, gas, settings, held, schedule, process, derived } = preset;
  const all = [...settings, ...held];
  const of = (test: RegExp): readonly ProcedureLine[] =>
    all.filter(({ name }) => test.test(name)).map((one) => settingLine(preset, one));
  const rest = all.filter(
    ({ name }) => ![electrical, mechanised, warmth, gases].some((test) => test.test(name)),
  );
  const facts = processFacts(processOf(process));
  const times = (name: SequenceStep["name"]): readonly ProcedureLine[] =>
    [...preset.sequence.start, ...preset.sequence.stop].flatMap((step) =>
      step.name === name ? [stepLine(step)] : [],
    );
  const interpass = all.some(({ name }) => name === "interpass_temperature")
    ? []
    : [
        known(
          "Interpass temperature",
          schedule?.interpass == null ? "" : `at most ${schedule.interpass} degC`,
        ),
      ];
  return [
    {
      heading: "Welding technique",
      lines: [
        ...rest.map((one) => settingLine(preset, one)),
        open("Weaving: width, frequency, dwell"),
        open("Angle of torch and of wire"),
      ],
    },
    {
      heading: "Welding consumables",
      lines: [
        known("Designation", wire?.classification ?? ""),
        known("Diameter", quantityText(wire?.diameter)),
        open("Make, lot, handling"),
      ],
    },
    {
      heading: "Electrical parameters",
      lines: [open("Type of current, polarity"), ...of(electrical)],
    },
    { heading: "Mechanised welding", lines: of(mechanised) },
    {
      heading: "Temperatures and heat treatment",
      lines: [
        open("Preheat temperature"),
        ...interpass,
        ...of(warmth),
        open("Post-heating, heat treatment after welding"),
      ],
    },
    {
      heading: "Shielding gas",
      lines: [
        known("Designation (ISO 14175)", gas?.code ?? ""),
        ...(gas?.flow === undefined ? [] : [known("Flow", quantityText(gas.flow))]),
        ...of(gases),
        ...times("pre_flow"),
        ...times("post_flow"),
      ],
    },
    {
      heading: "Heat input",
      lines:
        derived.length === 0
          ? [open("Heat input")]
          : derived.map(({ name, value, unit }) =>
              known(sentence(inWords(name)), withUnit(significant(value), unit)),
            ),
    },
    {
      heading: "Of this process",
      lines:
        facts.wire === "electrode"
          ? [open("Contact tube to work, nozzle diameter"), open("Mode of metal transfer")]
          : facts.heat.source === "arc"
            ? [
                open("Tungsten: type and diameter (ISO 6848), grind"),
                open("Nozzle diameter, gas lens"),
                ...(process.startsWith("15") ? [open("Plasma gas, orifice")] : []),
              ]
            : [open("Optics, focus, spot diameter")],
    },
  ];
}

function endParts({
  sequence,
  predicted,
  checks,
  chance,
  window,
  limits,
  basis,
  rig,
}: Preset): readonly ProcedurePart[] {
  const gasTimes = ["pre_flow", "post_flow"];
  return [
    {
      heading: "Start and stop, in their order",
      lines: [...sequence.start, ...sequence.stop]
        .filter(({ name }) => !gasTimes.includes(name))
        .map(stepLine),
    },
    {
      heading: "What to expect, by the coupons of this rig",
      lines: [
        ...predicted.map(({ name, unit, median, lower, upper }) =>
          known(
            sentence(inWords(name)),
            withUnit(significant(median), unit),
            `95 % of coupons ${significant(lower)} to ${significant(upper)}`,
          ),
        ),
        ...checks.map(({ name, chance: good }) => known(sentence(inWords(name)), `${percent(good)} good`)),
        known(
          "Chance to conform in everything",
          percent(chance.value),
          `${percent(chance.lower)} to ${percent(chance.upper)}; inside all ranges at least ${percent(window.reached)}, asked ${percent(window.asked)}`,
        ),
        ...limits.map(({ name, unit, value, min, max, binds }) =>
          known(
            `Limit: ${inWords(name)}`,
            withUnit(significant(value), unit),
            `${min === undefined ? "" : `at least ${brief(min)} `}${max === undefined ? "" : `at most ${brief(max)}`}${binds ? "; binds" : ""}`.trim(),
          ),
        ),
      ],
    },
    {
      heading: "Where it comes from",
      lines: [
        known("Rig", rig ?? ""),
        known("Model, seed", `${basis.model}, seed ${basis.seed}`),
        known(
          "Journal",
          basis.journal === undefined ? "nothing logged" : `${basis.journal.slice(0, 16)}\u2026`,
        ),
        open("Checked by, date"),
      ],
    },
  ];
}

function settingLine({ window }: Preset, { name, value, unit }: PresetSetting): ProcedureLine {
  const range = window.ranges.find((one) => one.name === name);
  return known(
    sentence(inWords(name)),
    withUnit(settingCell(value), unit),
    range === undefined
      ? "held"
      : range.low === range.high
        ? "no room: keep it exactly"
        : rangeText(range.low, range.high),
  );
}

const stepLine = ({ name, value, unit, origin, note }: SequenceStep): ProcedureLine =>
  known(
    sentence(inWords(name)),
    withUnit(settingCell(value), unit),
    origin === "assumed" ? note : `${note}; from the study`,
  );
