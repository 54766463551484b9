import type { Command } from "commander";
import { BeadbenchError } from "../../errors/index.js";
import { appendEntries, type EntryBody, type Study } from "../../study/index.js";
import { parseAssignments } from "../assignments.js";
import { printJson, studyAt } from "../files.js";
import type { CommandIo } from "../io.js";

interface LogOptions {
  readonly correct?: boolean;
  readonly void?: boolean;
  readonly change?: string;
  readonly before?: string;
  readonly note?: string;
  readonly why?: string;
  readonly json?: boolean;
}

export function registerLog(root: Command, io: CommandIo): void {
  root
    .command("log <study> [coupon] [values...]")
    .description(
      "log a coupon's settings and results, a correction, a void, a change of equipment, or a note",
    )
    .option("--correct", "the values replace what was logged before; nothing is erased (needs --why)")
    .option("--void", "the coupon must not be used (needs --why)")
    .option("--why <text>", "reason of a correction or a void")
    .option(
      "--change <what>",
      "equipment or a consumable was changed, such as tungsten, gas_cylinder, wire_spool",
    )
    .option("--before <coupon>", "first coupon run after the change")
    .option("--note <text>", "a remark, on the coupon or on the study")
    .option("--json", "print the new journal entries as JSON")
    .addHelpText(
      "after",
      `
Values are name=value with the unit; several numbers are station readings along the bead:
  beadbench log my-study C07 current=150A travel_speed="180 mm/min" bead_height="2.1 2.2 2.0 mm" sound_bead=yes
  beadbench log my-study C07 --correct wire_feed_speed="35 in/min" --why "typed as mm/min"
  beadbench log my-study --change tungsten --note "reground to 30 deg" --before C12`,
    )
    .action((folder: string, coupon: string | undefined, values: readonly string[], options: LogOptions) => {
      const study = studyAt(io, folder);
      const body = entryBody(study, coupon, values, options);
      const after = appendEntries(study, [body], { clock: io.clock });
      const entry = after.entries.at(-1);
      if (options.json === true) printJson(io, entry);
      else io.out(`logged as entry ${entry?.seq}\n`);
    });
}

function entryBody(
  study: Study,
  coupon: string | undefined,
  items: readonly string[],
  options: LogOptions,
): EntryBody {
  const { note } = options;
  if (options.change !== undefined) {
    return {
      kind: "change",
      what: options.change,
      ...(note === undefined ? {} : { detail: note }),
      ...(options.before === undefined ? {} : { before: options.before }),
    };
  }
  if (options.void === true) {
    return { kind: "voided", coupon: required(coupon, "name the coupon to void"), reason: reason(options) };
  }
  if (items.length === 0) {
    const text = required(
      note,
      "nothing to log: give values, --note, --change or --void; see `beadbench log --help`",
    );
    return { kind: "note", text, ...(coupon === undefined ? {} : { coupon }) };
  }
  const id = required(coupon, "name the coupon before its values");
  if (id.includes("="))
    throw new BeadbenchError("bad-argument", `name the coupon before its values, got "${id}"`);
  const assigned = parseAssignments(study.definition, items);
  if (options.correct === true) {
    const names = [...Object.keys(assigned.values), ...Object.keys(assigned.readings)];
    return { kind: "corrected", entry: entryHolding(study, id, names), ...assigned, reason: reason(options) };
  }
  return { kind: "logged", coupon: id, ...assigned, ...(note === undefined ? {} : { note }) };
}

/** The latest entry of a coupon that holds all these columns. */
function entryHolding(study: Study, coupon: string, names: readonly string[]): number {
  const found = study.entries.findLast(
    (entry) =>
      (entry.kind === "logged" || entry.kind === "planned") &&
      entry.coupon === coupon &&
      names.every((name) => name in entry.values || name in (entry.readings ?? {})),
  );
  if (found === undefined) {
    throw new BeadbenchError(
      "not-found",
      `no entry of coupon "${coupon}" holds ${names.join(" and ")}; correct one column at a time, or log the value instead of correcting it`,
    );
  }
  return found.seq;
}

function reason(options: LogOptions): string {
  return required(options.why, "say why with --why: the record keeps the reason");
}

function required(value: string | undefined, message: string): string {
  if (value === undefined || value.trim() === "") throw new BeadbenchError("bad-argument", message);
  return value;
}
