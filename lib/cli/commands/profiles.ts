import type { Command } from "commander";
import { BeadbenchError, errorFromIssues, grouped, type Issue, refusalOf } from "../../errors/index.js";
import { fitSection, type SectionFit, sectionReadings, wallProfile } from "../../models/index.js";
import { brief, counted, significant } from "../../numeric/index.js";
import { appendEntries, type NumberedRow, readNumberedTable, type Study } from "../../study/index.js";
import { type AnswerOptions, answer } from "../answer.js";
import { DecimalOption, type DecimalOptions } from "../decimal-option.js";
import { readText, studyAt, writeText } from "../files.js";
import type { CommandIo } from "../io.js";
import { quantityIn } from "../options.js";
import { OutputOption } from "../output-option.js";
import { findingsBelow, textTable } from "../text.js";

interface ProfileOptions extends AnswerOptions, DecimalOptions {
  readonly levelBase?: boolean;
  readonly dry?: boolean;
  readonly wall?: boolean;
  readonly ends: number;
  readonly csv?: string;
}

/** One section of a coupon, and what its points say. */
interface Section {
  readonly coupon: string;
  readonly section: string;
  readonly line: number;
  readonly fit: SectionFit;
}

export function define(command: Command, io: CommandIo): void {
  command
    .option("--level-base", "z = 0 is the base already; default: points on both sides tell its tilt")
    .option("--dry", "only say what the profiles show; log nothing")
    .option("--wall", "profiles along a wall: columns layer [1], x [mm], z [mm]; nothing is logged")
    .option("--ends <length>", "left out at either end of a wall's profile", quantityIn("mm"), 15)
    .addOption(new OutputOption("--csv <file>", "layers of a wall as a log for `wall --log` and `standoff`"))
    .addOption(new DecimalOption())
    .addHelpText(
      "after",
      `
Points across beads: columns coupon, section (where there are several), x [mm], z [mm]. Every section is fitted as \`section\` does; width,
height, area and toe angles go to the coupon as one reading per section, as far as the study measures them. All coupons or none.`,
    )
    .action(async (folder: string, file: string, options: ProfileOptions) => {
      const text = await readText(io, file);
      if (options.wall === true) wallProfiles(io, { text, file, options });
      else beadProfiles(io, { study: studyAt(io, folder), text, file, options });
    });
}

const mm = (name: string) => ({ name, unit: "mm" }) as const;

interface Points {
  readonly text: string;
  readonly file: string;
  readonly options: ProfileOptions;
}

function beadProfiles(
  io: CommandIo,
  { study, text, file, options }: Points & { readonly study: Study },
): void {
  const { rows } = readNumberedTable(
    text,
    [{ name: "coupon", unit: "text" }, { name: "section", unit: "text", optional: true }, mm("x"), mm("z")],
    { file, decimal: options.decimal },
  );
  const sections = sectionsOf(study, rows, { file, levelBase: options.levelBase === true });
  const coupons = grouped(sections, ({ coupon }) => coupon);
  const logged = [...coupons].map(([coupon, own]) => ({
    kind: "logged" as const,
    coupon,
    values: {},
    ...sectionReadings(
      study.definition,
      own.map(({ fit }) => fit),
    ),
  }));
  if (logged.some(({ readings }) => Object.keys(readings).length === 0))
    throw new BeadbenchError(
      "bad-argument",
      "the study measures no width, height, area or toe angle of a bead; use `section` to look at profiles alone",
    );
  if (options.dry !== true) appendEntries(study, logged, { clock: io.clock });
  answer({
    io,
    options,
    result: {
      coupons: logged.map(({ coupon, readings, units }) => ({ coupon, readings, units })),
      sections: sections.map(({ coupon, section, fit }) => ({
        coupon,
        section,
        shape: fit.shape,
        findings: fit.findings,
      })),
    },
    text: () => beadText(sections, coupons.size, options.dry === true),
  });
}

function sectionsOf(
  study: Study,
  rows: readonly NumberedRow[],
  { file, levelBase }: { readonly file: string; readonly levelBase: boolean },
): readonly Section[] {
  const issues: Issue[] = [];
  const ids = new Set(study.coupons.map(({ id }) => id));
  const sections = [
    ...grouped(rows, ({ row }) => JSON.stringify([row.coupon, row.section ?? "1"])).values(),
  ].flatMap((points): Section[] => {
    const [{ line, row }] = points as [NumberedRow];
    const [coupon, section] = [String(row.coupon), String(row.section ?? "1")];
    if (!ids.has(coupon)) {
      issues.push({
        file,
        line,
        column: "coupon",
        message: "no coupon of the study is called so; log it first",
        got: coupon,
      });
      return [];
    }
    let fit: SectionFit | undefined;
    const fault = refusalOf(() => {
      fit = fitSection(
        points.map((point) => ({ x: Number(point.row.x), y: Number(point.row.z) })),
        { base: levelBase ? "level" : "measured" },
      );
    });
    if (fit !== undefined) return [{ coupon, section, line, fit }];
    issues.push({ file, line, message: `coupon ${coupon}, section ${section}: ${fault?.message}` });
    return [];
  });
  if (issues.length > 0) throw errorFromIssues("bad-csv", "nothing was logged:", issues);
  return sections;
}

function beadText(sections: readonly Section[], coupons: number, dry: boolean): string {
  const table = textTable(
    [
      { title: "coupon" },
      { title: "section" },
      { title: "outline" },
      ...["width [mm]", "height [mm]", "area [mm2]", "toe left [deg]", "toe right [deg]"].map((title) => ({
        title,
        align: "right" as const,
      })),
    ],
    sections.map(({ coupon, section, fit }) => [
      coupon,
      section,
      fit.shape,
      ...[fit.width, fit.height, fit.area, fit.toeAngles.left, fit.toeAngles.right].map(({ estimate }) =>
        significant(estimate),
      ),
    ]),
  );
  const findings = sections.flatMap(({ coupon, section, fit }) =>
    fit.findings.map((finding) => ({
      ...finding,
      message: `${coupon}, section ${section}: ${finding.message}`,
    })),
  );
  const done = `${counted(sections.length, "section")} of ${counted(coupons, "coupon")}${dry ? "; nothing was logged" : " logged"}`;
  return `${table}\n${done}\n${findingsBelow(findings)}`;
}

function wallProfiles(io: CommandIo, { text, file, options }: Points): void {
  const { rows } = readNumberedTable(text, [{ name: "layer", unit: "1" }, mm("x"), mm("z")], {
    file,
    decimal: options.decimal,
  });
  const layers = wallProfile(
    rows.map(({ row }) => ({ layer: Number(row.layer), x: Number(row.x), z: Number(row.z) })),
    options.ends,
  );
  const number = (value: number | undefined): string => (value === undefined ? "" : brief(value, 6));
  if (options.csv !== undefined)
    writeText(
      io,
      options.csv,
      `layer,rise [mm],height [mm]\n${layers.map(({ layer, rise, height }) => `${number(layer)},${number(rise)},${number(height)}\n`).join("")}`,
    );
  if (options.csv === "-") return;
  answer({
    io,
    options,
    result: { layers },
    text: () =>
      textTable(
        ["layer", "height [mm]", "rise [mm]", "waviness sd [mm]"].map((title) => ({
          title,
          align: "right" as const,
        })),
        layers.map(({ layer, height, rise, waviness }) => [
          number(layer),
          significant(height),
          rise === undefined ? "" : significant(rise),
          significant(waviness),
        ]),
      ),
  });
}
