import { type Command, Option } from "commander";
import { BeadbenchError, onlyDefined } from "../../errors/index.js";
import { fixed, settingDigits } from "../../numeric/index.js";
import {
  type CouponProgram,
  type CouponShape,
  couponProgram,
  couponProgramText,
  drawCouponProgram,
  parseMachineMap,
  shapeKinds,
} from "../../presets/index.js";
import { type AnswerOptions, answer } from "../answer.js";
import { readText, studyAt, writeText } from "../files.js";
import type { CommandIo } from "../io.js";
import { quantityIn, wholeNumber } from "../options.js";
import { OutputOption } from "../output-option.js";
import { plannedCoupons } from "../planned-coupons.js";
import { textTable, wrap } from "../text.js";
import { tellLost } from "./preset.js";

interface ProgramCommandOptions extends AnswerOptions {
  readonly machine: string;
  readonly plateWidth: number;
  readonly plateDepth: number;
  readonly margin: number;
  readonly spacing: number;
  readonly shape: CouponShape["kind"];
  readonly length: number;
  readonly ringDiameter: number;
  readonly layers: number;
  readonly rise?: number;
  readonly rampFrom?: number;
  readonly rampTo?: number;
  readonly lean: number;
  readonly leanEvery: number;
  readonly beadWidth?: number;
  readonly safeHeight?: number;
  readonly standoff?: number;
  readonly dwell?: number;
  readonly coupons?: number;
  readonly dry?: boolean;
  readonly ngc?: string;
  readonly svg?: string;
}

const mm = quantityIn("mm");

export function define(command: Command, io: CommandIo): void {
  command
    .requiredOption("--machine <file>", "machine map, which M and G words switch what")
    .requiredOption("--plate-width <length>", "of the plate, along X", mm)
    .requiredOption("--plate-depth <length>", "of the plate, along Y", mm)
    .option("--margin <length>", "free along its edges", mm, 10)
    .option("--spacing <length>", "free between coupons", mm, 10)
    .addOption(
      new Option("--shape <shape>", "what is laid at each setting").choices(shapeKinds).default("bead"),
    )
    .option("--length <length>", "of a bead, wall, ramp or overhang", mm, 100)
    .option("--ring-diameter <length>", "of a ring on its centreline", mm, 60)
    .option("--layers <n>", "of a ring, wall or overhang", wholeNumber(1), 1)
    .option("--rise <length>", "of each layer, where there are several", mm)
    .option("--ramp-from <length>", "stand-off at the start of a ramp", mm)
    .option("--ramp-to <length>", "stand-off at its end", mm)
    .option("--lean <angle>", "by which an overhang leans further at every step", quantityIn("deg"), 10)
    .option("--lean-every <n>", "layers between its steps", wholeNumber(1), 4)
    .option("--bead-width <length>", "room for the width of a bead (default: 12 mm)", mm)
    .option(
      "--safe-height <length>",
      "of moves between beads (default: 30 mm, or 10 mm over the highest tip)",
      mm,
    )
    .option("--standoff <length>", "where no setting of the study tells it", mm)
    .option("--dwell <time>", "between layers (default: the study's dwell, else 60 s)", quantityIn("s"))
    .option("--coupons <n>", "only so many, from the first in run order", wholeNumber(1))
    .option("--dry", "moves alone, without a word that switches or sets anything: the run to watch first")
    .addOption(new OutputOption("--ngc <file>", "write the program"))
    .addOption(new OutputOption("--svg <file>", "draw it, seen from above"))
    .addHelpText(
      "after",
      `
The coupons are those planned and not yet logged. X0 Y0 is the plate's front left corner, Z0 the tip on the plate. The program
stops before every coupon until somebody lets it go on. Run it with --dry first, and never let it run unattended.`,
    )
    .action(async (folder: string, options: ProgramCommandOptions) => {
      const machine = parseMachineMap(await readText(io, options.machine), options.machine);
      const study = studyAt(io, folder);
      const { margin, spacing, beadWidth, safeHeight, standoff, dwell } = options;
      const program = couponProgram(study, plannedCoupons(study).slice(0, options.coupons), {
        shape: shapeOf(options),
        plate: { width: options.plateWidth, depth: options.plateDepth, margin, spacing },
        machine,
        ...onlyDefined({ beadWidth, safeHeight, standoff, dwell }),
      });
      if (options.ngc !== undefined)
        writeText(io, options.ngc, couponProgramText(program, onlyDefined({ dry: options.dry })));
      if (options.svg !== undefined) writeText(io, options.svg, drawCouponProgram(program));
      if ([options.ngc, options.svg].includes("-")) tellLost(io, program.lost);
      else answer({ io, options, result: program, text: () => programText(program) });
    });
}

function shapeOf(options: ProgramCommandOptions): CouponShape {
  const { shape, length, layers, rampFrom, rampTo, lean, leanEvery, ringDiameter } = options;
  const missing = (what: string): never => {
    throw new BeadbenchError("bad-argument", `--shape ${shape} needs ${what}`);
  };
  const rise = options.rise ?? (layers === 1 ? 1 : undefined);
  switch (shape) {
    case "bead":
      return { kind: shape, length };
    case "ramp":
      return {
        kind: shape,
        length,
        from: rampFrom ?? missing('--ramp-from with a stand-off, such as "2 mm"'),
        to: rampTo ?? missing('--ramp-to with a stand-off, such as "5 mm"'),
      };
    case "ring":
      return {
        kind: shape,
        diameter: ringDiameter,
        layers,
        rise: rise ?? missing('--rise, such as "1.6 mm"'),
      };
    case "wall":
      return { kind: shape, length, layers, rise: rise ?? missing('--rise, such as "1.6 mm"') };
    case "overhang":
      return {
        kind: shape,
        length,
        layers,
        rise: rise ?? missing('--rise, such as "1.6 mm"'),
        angle: lean,
        every: leanEvery,
      };
  }
}

/** A program in a table for a terminal. */
function programText({ coupons, time, lost, cautions, safeHeight, shape }: CouponProgram): string {
  const right = (title: string) => ({ title, align: "right" as const });
  return [
    textTable(
      [
        { title: "coupon" },
        right("X [mm]"),
        right("Y [mm]"),
        right("travel [mm/min]"),
        right("layers"),
        { title: "set" },
      ],
      coupons.map(({ id, box, travel, beads, settings, words }) => [
        id,
        fixed(box.x, 1),
        fixed(box.y, 1),
        settingDigits(travel),
        String(beads.length),
        [
          ...Object.entries(settings).map(([name, { value }]) => `${name} ${settingDigits(value)}`),
          ...Object.entries(words).map(([name, word]) => `${name} ${word}`),
        ].join(", "),
      ]),
    ),
    `\n${coupons.length} x ${shape}, moves between at Z ${fixed(safeHeight, 1)} mm; arc ${fixed(time.arc / 60, 1)} min, in all ${fixed(time.whole / 60, 1)} min and the stops\n`,
    ...lost.map((what) => `${wrap(`Not carried: ${what}.`)}\n`),
    `\n${cautions.map((caution) => `${wrap(caution)}\n`).join("")}`,
  ].join("");
}
