import { resolve } from "node:path";
import type { Command } from "commander";
import { BeadbenchError, onlyDefined, requireThat } from "../../errors/index.js";
import { gate, gateText } from "../../models/gate/index.js";
import { type EntryBody, effectiveEntries } from "../../study/journal/index.js";
import {
  appendEntries,
  attachFile,
  contextUnits,
  correctionOf,
  dayOfLogging,
  type Study,
} from "../../study/record/index.js";
import { parseQuantity, type Quantity } from "../../units/index.js";
import { answer } from "../answer.js";
import { parseAssignments } from "../assignments.js";
import { couponMeant } from "../coupon-meant.js";
import { entryText } from "../entry-text.js";
import { studyAt } from "../files.js";
import type { CommandIo } from "../io.js";
import { wholeNumber } from "../options.js";

interface LogOptions {
  readonly correct?: boolean;
  readonly void?: boolean;
  readonly entry?: number;
  readonly change?: string;
  readonly before?: string;
  readonly life?: string;
  readonly build?: string;
  readonly note?: string;
  readonly attach?: string;
  readonly why?: string;
  readonly json?: boolean;
}

export function define(command: Command, io: CommandIo): void {
  command
    .option("--correct", "the values replace what was logged before; nothing is erased (needs --why)")
    .option("--void", "the coupon, or the entry of --entry, must not be used (needs --why)")
    .option(
      "--entry <n>",
      "with --void: one entry, such as a wrong step of a build or an incident",
      wholeNumber(1),
    )
    .option("--why <text>", "reason of a correction or a void")
    .option(
      "--change <what>",
      "equipment or a consumable was changed, such as tungsten, gas_cylinder, wire_spool",
    )
    .option("--before <coupon>", "first coupon run after the change")
    .option(
      "--life <running>",
      'how long what was changed lasts, such as "8 h", "300 m", "9000 L" or 200 starts',
    )
    .option("--build <build>", "the build in which it was changed")
    .option("--note <text>", "a remark, on the coupon, the study or the file attached")
    .option("--attach <file>", "keep a photo, profile or trace with the study; the journal holds its SHA-256")
    .option("--json", "print the new journal entries as JSON")
    .addHelpText(
      "after",
      `
Values are name=value; several numbers are station readings along the bead. Names may be cut short, a number without
unit is in the study's, a verdict by itself is a yes, and the day is today's where the study has a block of that name:
  beadbench log C07 width=5.9,6.1 sound
  beadbench log my-study C07 current=150A travel_speed="180 mm/min" bead_height="2.1 2.2 2.0 mm" sound_bead=yes
  beadbench log my-study C07 --correct wire_feed_speed="35 in/min" --why "typed as mm/min"
  beadbench log my-study --change tungsten --note "reground to 30 deg" --before C12`,
    )
    // biome-ignore lint/complexity/useMaxParams: the command line hands over one argument each
    .action((folder: string, typed: string | undefined, values: readonly string[], options: LogOptions) => {
      const study = studyAt(io, folder);
      const coupon = typed === undefined ? undefined : couponMeant(study, typed);
      const after =
        options.attach === undefined
          ? appendEntries(study, [entryBody({ study, coupon, items: values, now: io.clock(), ...options })], {
              clock: io.clock,
            })
          : attachFile(study, resolve(io.folder, options.attach), {
              clock: io.clock,
              ...onlyDefined({ coupon }),
              ...(options.note === undefined ? {} : { note: options.note }),
            });
      const entry = after.entries.at(-1);
      answer({ io, options, result: entry, text: () => entryText(study.definition, entry) });
      warnOfOddValues({ io, study: after, id: coupon });
    });
}

/** What was typed stays on record; what is odd about it is said at once, while the sheet is at hand. */
function warnOfOddValues({
  io,
  study,
  id,
}: {
  readonly io: CommandIo;
  readonly study: Study;
  readonly id: string | undefined;
}): void {
  if (id === undefined) return;
  const lines = gateText(gate(study, [id]));
  if (lines.length > 0) io.note(`${lines.join("\n")}\n`);
}

function entryBody({
  study,
  coupon,
  items,
  now,
  ...options
}: {
  readonly study: Study;
  readonly coupon: string | undefined;
  readonly items: readonly string[];
  readonly now: Date;
} & LogOptions): EntryBody {
  const { note } = options;
  if (coupon?.includes("=") === true)
    throw new BeadbenchError("bad-argument", `name the coupon before its values, got "${coupon}"`);
  if (options.change !== undefined) {
    return {
      kind: "change",
      what: options.change,
      ...(note === undefined ? {} : { detail: note }),
      ...onlyDefined({ before: options.before, build: options.build }),
      ...(options.life === undefined ? {} : { life: parseLife(options.life) }),
    };
  }
  requireThat(options.entry === undefined || options.void === true, "--entry goes with --void");
  if (options.void === true) {
    const what =
      options.entry === undefined
        ? { coupon: required(coupon, "name the coupon to void, or --entry with the number of an entry") }
        : onlyDefined({ coupon, entry: options.entry });
    return { kind: "voided", ...what, reason: reason(options) };
  }
  if (items.length === 0) {
    const text = required(
      note,
      "nothing to log: give values, --note, --change or --void; see `beadbench log --help`",
    );
    return { kind: "note", text, ...onlyDefined({ coupon }) };
  }
  const id = required(coupon, "name the coupon before its values");
  const logged = new Map([...contextUnits(study.coupons), ...unitsWritten(study, id)]);
  const assigned = parseAssignments(study.definition, items, { logged });
  if (options.correct === true) {
    return correctionOf(study, id, { ...assigned, reason: reason(options) });
  }
  const values = { ...dayOfLogging({ study, coupon: id, now }), ...assigned.values };
  return { kind: "logged", coupon: id, ...assigned, values, ...onlyDefined({ note }) };
}

/** Units in which columns of a coupon were written down last. */
const unitsWritten = ({ entries }: Study, coupon: string): readonly (readonly [string, string])[] =>
  effectiveEntries(entries)
    .filter((entry) => entry.coupon === coupon)
    .flatMap(({ units }) => Object.entries(units ?? {}));

/** A quantity, or a bare number of starts. */
function parseLife(text: string): Quantity {
  const starts = /^(\d+)\s*(?:starts?)?$/.exec(text.trim())?.[1];
  return starts === undefined ? parseQuantity(text) : { value: Number(starts), unit: "1" };
}

function reason(options: LogOptions): string {
  return required(options.why, "say why with --why: the record keeps the reason");
}

function required(value: string | undefined, message: string): string {
  if (value === undefined || value.trim() === "") throw new BeadbenchError("bad-argument", message);
  return value;
}
