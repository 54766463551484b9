import type { Command } from "commander";
import type { CommandIo } from "./io.js";

/** What the file of a command exports. */
export interface CommandModule {
  /** Adds options and the work to a command that has its name, arguments and description already. */
  define(command: Command, io: CommandIo): void;
}

/** A command as the program knows it before its file is loaded. */
export interface CommandEntry {
  /** Name and arguments. */
  readonly usage: string;
  readonly description: string;
  /** Loads the command's file and all it needs; only for the command that is run. */
  load(): Promise<CommandModule>;
}

const entry = (usage: string, description: string, load: () => Promise<CommandModule>): CommandEntry => ({
  usage,
  description,
  load,
});

/** Every command, in the order of `--help`. A new one is its file and its entry here. */
export const commands: readonly CommandEntry[] = [
  entry(
    "new <study>",
    "start a study folder from a study.json, or draft one from a file of results",
    () => import("./commands/new.js"),
  ),
  entry(
    "plan [study]",
    "plan coupons, in run order, and write them to the journal; coupons already run are counted in",
    () => import("./commands/plan.js"),
  ),
  entry(
    "evaluate [study] [plan]",
    "judge a plan before the first spark: the study's planned coupons, or those of a CSV file",
    () => import("./commands/evaluate.js"),
  ),
  entry(
    "import [study] <file>",
    "read measured coupons from a CSV file (- for standard input), or a foreign table by a column map; all rows or none",
    () => import("./commands/import.js"),
  ),
  entry(
    "columns [study] <file>",
    "draft a column map of a foreign table, XLSX or CSV: which of its columns is which here; for `import --columns`",
    () => import("./commands/columns.js"),
  ),
  entry(
    "profiles [study] <points>",
    "points of beads' cross-sections to width, height, area and toe angles of coupons; of walls to height and rise by layer",
    () => import("./commands/profiles.js"),
  ),
  entry(
    "photo [study] <marks>",
    "points picked on pictures with a scale to width, height and area of coupons (CSV: coupon, mark, x [px], y [px])",
    () => import("./commands/photo.js"),
  ),
  entry(
    "log [study] [coupon] [values...]",
    "log a coupon's settings and results, a correction, a void, a change of equipment, or a note",
    () => import("./commands/log.js"),
  ),
  entry(
    "bench [study]",
    "serve a page for logging at the bench, on a phone with gloves on; works while the connection is down",
    () => import("./commands/bench.js"),
  ),
  entry(
    "incident [study] <what>",
    "log something that went wrong, such as wire_stuck, arc_lost, tungsten_touched",
    () => import("./commands/incident.js"),
  ),
  entry(
    "incidents [study]",
    "what went wrong, what it cost, how often it comes, whether it gets rarer, and what is due",
    () => import("./commands/incidents.js"),
  ),
  entry(
    "trace [study] [file]",
    "arc time, power, energy, shorts, touches, sticking and drop-outs from a recording of current and voltage (CSV, WAV, Parquet), coupon by coupon",
    () => import("./commands/trace.js"),
  ),
  entry(
    "check [study]",
    "look for unit slips, drop-outs, settings that moved together, and damage to the journal",
    () => import("./commands/check.js"),
  ),
  entry(
    "recover <damaged> <into>",
    "build a new study of all that is sound in a damaged one, which stays as it is; what is lost is listed",
    () => import("./commands/recover.js"),
  ),
  entry(
    "fit [study]",
    "fit how the bead answers to the settings, in several forms, with honest uncertainty",
    () => import("./commands/fit.js"),
  ),
  entry(
    "window [study]",
    "find the setting most likely to conform, and how far each setting may drift",
    () => import("./commands/window.js"),
  ),
  entry(
    "next [study]",
    "propose the coupons worth running next, and say why; they go to the journal as planned",
    () => import("./commands/next.js"),
  ),
  entry(
    "sheet [study]",
    "the planned coupons as a sheet to print: settings, boxes to fill in, set-up checks, cautions, totals; and as CSV",
    () => import("./commands/sheet.js"),
  ),
  entry(
    "program [study]",
    "the planned coupons as an RS-274 program on a plate, for a machine map of yours, and a picture of it; refuses what does not fit",
    () => import("./commands/program.js"),
  ),
  entry(
    "preset [study]",
    "recommend settings, with predicted results, their intervals and the chance to conform",
    () => import("./commands/preset.js"),
  ),
  entry("preset-schema", "print the JSON Schema of a preset", () => import("./commands/preset-schema.js")),
  entry(
    "confirm [study]",
    "hold the chance a preset claims against the coupons run at its settings since it was made",
    () => import("./commands/confirm.js"),
  ),
  entry(
    "compare [study] [with...]",
    "two days, cylinders or other blocks, before and after a change, two presets, or two studies: is there a difference, and does it matter",
    () => import("./commands/compare.js"),
  ),
  entry(
    "export [study]",
    "write the coupons as CSV, or the whole study as JSON",
    () => import("./commands/export.js"),
  ),
  entry(
    "merge [study] <other>",
    "bring what was logged on another copy of the study into this one; both records are kept and held to their hashes",
    () => import("./commands/merge.js"),
  ),
  entry(
    "share [study]",
    "write a study for another shop into one file, without what is private, and say what goes",
    () => import("./commands/share.js"),
  ),
  entry(
    "open <shared> <folder>",
    "make a study folder of a file that `share` wrote",
    () => import("./commands/open.js"),
  ),
  entry(
    "forecast [study] [values...]",
    "what a build will need and whether it will end well: time, wire, gas, cost, chance to finish, risks",
    () => import("./commands/forecast.js"),
  ),
  entry(
    "build [study] [build] [readings...]",
    "follow a build while it runs: layers, readings, pauses, what is left, the sheet to resume by",
    () => import("./commands/build.js"),
  ),
  entry(
    "report [study]",
    "write one self-contained HTML page of the study: preset, window, models, checks, record",
    () => import("./commands/report.js"),
  ),
  entry(
    "draw [study] [chart]",
    "draw one chart of the study as SVG; without a name, list the charts",
    () => import("./commands/draw.js"),
  ),
  entry(
    "physics [study] [values...]",
    "arc energy, heat input, bead area, wire share and deposition of every coupon, or of one setting",
    () => import("./commands/physics.js"),
  ),
  entry(
    "standoff <log>",
    "stand-off drift from a layer log (CSV: layer [1], standoff [mm], rise [mm], station), and its forecast",
    () => import("./commands/standoff.js"),
  ),
  entry(
    "wall [study] [settings...]",
    "layer schedule of a wall or ring: rise, lever, dwell and levelling by layer, and the walls worth laying first",
    () => import("./commands/wall.js"),
  ),
  entry(
    "section <points>",
    "width, height, area and toe angles of a bead from points of its cross-section (CSV: x [mm], y [mm])",
    () => import("./commands/section.js"),
  ),
  entry(
    "stickout <readings>",
    "melting law, arc voltage or tip distance from readings in a CSV file",
    () => import("./commands/stickout.js"),
  ),
  entry(
    "melt-back <stops>",
    "coasting wire and burn-back from stops in a CSV file (burn_back_time [s], extension_change [mm])",
    () => import("./commands/melt-back.js"),
  ),
  entry(
    "sticking <stops>",
    "chance that the wire sticks, from stops in a CSV file (delay [s], clearance [mm], stuck)",
    () => import("./commands/sticking.js"),
  ),
  entry(
    "control [study]",
    "control charts: whether the rig drifts, from a study's control coupons or a column of a CSV file",
    () => import("./commands/control.js"),
  ),
  entry(
    "gauge <readings>",
    "repeatability and reproducibility of a gauge, and its gaugeSd (CSV: part, reading [unit], operator)",
    () => import("./commands/gauge.js"),
  ),
  entry(
    "calibration <readings>",
    "line from set to true value of a feeder, drive or meter, and its drift (CSV: date, set [unit], measured [unit])",
    () => import("./commands/calibration.js"),
  ),
  entry(
    "cooling <readings>",
    "time constant of a cooling part, and the dwell to an interpass temperature (CSV: time [s] after arc-off, temperature [degC], curve, height [mm], surroundings [degC])",
    () => import("./commands/cooling.js"),
  ),
  entry(
    "purge <readings>",
    "mixing, oxygen floor, leak and purge time of an enclosure (CSV: time [min] since the flow was on, oxygen [ppm])",
    () => import("./commands/purge.js"),
  ),
  entry(
    "gas",
    "argon in a cylinder and how long it lasts; oxygen left in a room that argon flows into",
    () => import("./commands/gas.js"),
  ),
  entry(
    "spacing",
    "beads side by side: spacing, beads across a width, valleys, layer height; the two widths of a wall",
    () => import("./commands/spacing.js"),
  ),
  entry(
    "curve <readings>",
    "a formula of your own, fitted to columns of a CSV file",
    () => import("./commands/curve.js"),
  ),
  entry(
    "status [study]",
    "what state a study is in, and what to do next",
    () => import("./commands/status.js"),
  ),
  entry(
    "completion <shell>",
    "a script that completes commands, options, coupons and columns, for bash, zsh, fish or powershell",
    () => import("./commands/completion.js"),
  ),
  entry(
    "demo [folder]",
    "run the whole loop on the invented demo study: summary, HTML page and preset",
    () => import("./commands/demo.js"),
  ),
];
