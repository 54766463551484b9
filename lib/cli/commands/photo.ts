import type { Command } from "commander";
import { BeadbenchError, grouped, requireThat } from "../../errors/index.js";
import { responsesOf } from "../../models/physical/index.js";
import { counted, significant } from "../../numeric/index.js";
import {
  measureArea,
  measureWidths,
  type PhotoMeasure,
  type PhotoScale,
  type Point,
} from "../../photo/index.js";
import { appendEntries, type NumberedRow, readNumberedTable, type Study } from "../../study/index.js";
import { type AnswerOptions, answer } from "../answer.js";
import { DecimalOption, type DecimalOptions } from "../decimal-option.js";
import { readText, studyAt } from "../files.js";
import type { CommandIo } from "../io.js";
import { quantityIn, wholeNumber } from "../options.js";
import { textTable } from "../text.js";

interface PhotoOptions extends AnswerOptions, DecimalOptions {
  readonly length?: number;
  readonly width?: number;
  readonly height?: number;
  readonly scaleSd: number;
  readonly clickSd: number;
  readonly stations: number;
  readonly dry?: boolean;
}

/** A size read from the picture of one coupon. */
interface Read {
  readonly coupon: string;
  readonly role: "width" | "height" | "area";
  readonly measures: readonly PhotoMeasure[];
}

const kinds = ["scale", "corner", "left", "right", "top", "base", "outline"];

export function define(command: Command, io: CommandIo): void {
  command
    .option(
      "--length <length>",
      "length between the two points marked scale, seen square on",
      quantityIn("mm"),
    )
    .option(
      "--width <length>",
      "width of the rectangle of four points marked corner, from the first to the second",
      quantityIn("mm"),
    )
    .option("--height <length>", "its height, from the second to the third", quantityIn("mm"))
    .option("--scale-sd <length>", "standard deviation of what is known of the scale", quantityIn("mm"), 0.05)
    .option("--click-sd <pixels>", "standard deviation of a point that was set, whole px", wholeNumber(1), 1)
    .option("--stations <n>", "places along the bead at which two edges are measured", wholeNumber(1), 5)
    .option("--dry", "only say what the pictures show; log nothing")
    .addOption(new DecimalOption())
    .addHelpText(
      "after",
      `
Points picked on one picture per coupon: columns coupon, mark, x [px], y [px]. Marks are ${kinds.join(", ")}: left and right along the two
edges of a bead give its width, top and base its height, an outline in order round a section its area.`,
    )
    .action(async (folder: string, file: string, options: PhotoOptions) => {
      const study = studyAt(io, folder);
      const { rows } = readNumberedTable(
        await readText(io, file),
        [
          { name: "coupon", unit: "text" },
          { name: "mark", unit: "text" },
          { name: "x", unit: "px" },
          { name: "y", unit: "px" },
        ],
        { file, decimal: options.decimal },
      );
      const read = [...grouped(rows, ({ row }) => String(row.coupon))].flatMap(([coupon, own]) =>
        readOf(coupon, own, { file, options }),
      );
      const logged = bodiesOf(study, read);
      if (options.dry !== true) appendEntries(study, logged, { clock: io.clock });
      answer({
        io,
        options,
        result: { read },
        text: () => photoText(read, logged.length, options.dry === true),
      });
    });
}

function readOf(
  coupon: string,
  rows: readonly NumberedRow[],
  { file, options }: { readonly file: string; readonly options: PhotoOptions },
): readonly Read[] {
  const strange = rows.find(({ row }) => !kinds.includes(String(row.mark)));
  requireThat(
    strange === undefined,
    `${file}:${strange?.line}, "mark": must be one of ${kinds.join(", ")}, got "${strange?.row.mark}"`,
  );
  const of = (mark: string): readonly Point[] =>
    rows.filter(({ row }) => row.mark === mark).map(({ row }) => ({ x: Number(row.x), y: Number(row.y) }));
  const reading = { scale: scaleOf(coupon, of, options), clickSd: options.clickSd };
  const widths = (role: Read["role"], one: string, other: string): readonly Read[] => {
    const edges = [of(one), of(other)] as const;
    if (edges.every(({ length }) => length === 0)) return [];
    requireThat(
      edges.every(({ length }) => length >= 2),
      `coupon ${coupon}: mark at least two points ${one} and two points ${other}`,
    );
    return [{ coupon, role, measures: measureWidths(reading, edges, options.stations).stations }];
  };
  const outline = of("outline");
  const read: readonly Read[] = [
    ...widths("width", "left", "right"),
    ...widths("height", "top", "base"),
    ...(outline.length === 0
      ? []
      : [{ coupon, role: "area" as const, measures: [measureArea(reading, outline)] }]),
  ];
  requireThat(
    read.length > 0,
    `coupon ${coupon}: nothing is measured; mark left and right, top and base, or an outline`,
  );
  return read;
}

function scaleOf(
  coupon: string,
  of: (mark: string) => readonly Point[],
  { length, width, height, scaleSd: sd }: PhotoOptions,
): PhotoScale {
  const [ends, corners] = [of("scale"), of("corner")];
  if (ends.length === 2 && corners.length === 0 && length !== undefined)
    return { kind: "length", points: ends as [Point, Point], length, sd };
  if (corners.length === 4 && ends.length === 0 && width !== undefined && height !== undefined)
    return { kind: "rectangle", points: corners as [Point, Point, Point, Point], width, height, sd };
  throw new BeadbenchError(
    "bad-argument",
    `coupon ${coupon}: mark two points scale and give --length, or four points corner and give --width and --height; there are ${ends.length} of scale and ${corners.length} of corner`,
  );
}

/** One entry per coupon; what the study does not measure is refused, for else the reading would be lost. */
function bodiesOf({ definition, coupons }: Study, read: readonly Read[]) {
  return [...grouped(read, ({ coupon }) => coupon)].map(([coupon, own]) => {
    requireThat(
      coupons.some(({ id }) => id === coupon),
      `there is no coupon ${coupon} in the study; log it first`,
    );
    const named = own.map(({ role, measures }) => {
      const [response] = responsesOf(definition.responses, role);
      requireThat(
        response !== undefined,
        `the study measures no ${role}; add a response to study.json, or leave its marks out`,
      );
      return {
        name: response.name,
        unit: role === "area" ? "mm2" : "mm",
        values: measures.map(({ value }) => value),
      };
    });
    return {
      kind: "logged" as const,
      coupon,
      values: {},
      readings: Object.fromEntries(named.map(({ name, values }) => [name, values])),
      units: Object.fromEntries(named.map(({ name, unit }) => [name, unit])),
    };
  });
}

function photoText(read: readonly Read[], coupons: number, dry: boolean): string {
  const table = textTable(
    [{ title: "coupon" }, { title: "size" }, { title: "readings" }, { title: "error sd", align: "right" }],
    read.map(({ coupon, role, measures }) => [
      coupon,
      role,
      `${measures.map(({ value }) => significant(value)).join(", ")} ${role === "area" ? "mm2" : "mm"}`,
      significant(Math.max(...measures.map(({ sd }) => sd))),
    ]),
  );
  return `${table}\n${counted(coupons, "coupon")}${dry ? "; nothing was logged" : " logged"}\n`;
}
