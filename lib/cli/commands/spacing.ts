import type { Command } from "commander";
import { BeadbenchError, type Finding } from "../../errors/index.js";
import { counted, fixed, percent, significant } from "../../numeric/index.js";
import {
  type BeadsAcross,
  beadsAcross,
  checkSpacing,
  flatTopSpacing,
  meanLayerHeight,
  type Overlap,
  overlapOf,
  sectionArea,
  tangentSpacingRatio,
  type WallShape,
  wallLayerHeight,
  wallShape,
} from "../../process/index.js";
import { type AnswerOptions, answer } from "../answer.js";
import type { CommandIo } from "../io.js";
import { quantityIn } from "../options.js";
import { findingsBelow } from "../text.js";

interface SpacingOptions extends AnswerOptions {
  readonly width?: number;
  readonly height?: number;
  readonly area?: number;
  readonly spacing?: number;
  readonly across?: number;
  readonly wall?: number;
  readonly clean?: number;
}

/** Beads side by side; lengths in mm. */
interface SideBySide {
  /** Spacing at which a layer stays level. */
  readonly level: number;
  /** Spacing at which the metal of one bead fills one spacing as high as the bead. */
  readonly flatTop: number;
  /** The spacing asked for, else the level one, fitted to the width to cover. */
  readonly spacing: number;
  readonly across?: BeadsAcross;
  /** mm2 of one bead. */
  readonly area: number;
  readonly layerHeight: number;
  /** Null where the beads do not touch. */
  readonly overlap: Overlap | null;
  readonly findings: readonly Finding[];
}

/** A wall of single beads one above the other; lengths in mm. */
interface Wall extends WallShape {
  /** Absent where the area of a bead is not known. */
  readonly layerHeight?: number;
}

const millimetres = quantityIn("mm");

export function define(command: Command, io: CommandIo): void {
  command
    .option("--width <length>", "width of one bead", millimetres)
    .option("--height <length>", "height of one bead", millimetres)
    .option(
      "--area <area>",
      'cross-section of one bead, such as "8 mm2" (default: of a parabola)',
      quantityIn("mm2"),
    )
    .option(
      "--spacing <length>",
      "distance between beads (default: at which a layer stays level)",
      millimetres,
    )
    .option("--across <length>", "width to cover with beads, edge to edge", millimetres)
    .option("--wall <length>", "of a wall: width over its waves", millimetres)
    .option("--clean <length>", "of a wall: width between its valleys, left after machining", millimetres)
    .action((options: SpacingOptions) => {
      const beads = sideBySide(options);
      const wall = wallOf(options, beads);
      if (beads === undefined && wall === undefined)
        throw new BeadbenchError(
          "bad-argument",
          'nothing to work out: give --width "6 mm" --height "2 mm" for beads side by side, or --wall "5.8 mm" --clean "5 mm" for a wall',
        );
      answer({
        io,
        options,
        result: { beads, wall },
        text: () =>
          [
            ...(beads === undefined ? [] : [beadsText(beads)]),
            ...(wall === undefined ? [] : [wallText(wall)]),
          ].join("\n"),
      });
    });
}

function sideBySide({ width, height, area, spacing, across }: SpacingOptions): SideBySide | undefined {
  if (width === undefined || height === undefined) {
    const lacking = width === undefined ? "--width" : "--height";
    const asked = [width, height, spacing, across].some((value) => value !== undefined);
    if (!asked) return undefined;
    throw new BeadbenchError(
      "bad-argument",
      `beads side by side need the size of one: give ${lacking}, such as "${width === undefined ? 6 : 2} mm"`,
    );
  }
  const size = { width, height };
  const metal = area ?? sectionArea("parabola", size);
  const level = tangentSpacingRatio() * width;
  const wanted = spacing ?? level;
  const covered = across === undefined ? undefined : beadsAcross(across, width, wanted);
  const laid = covered === undefined || covered.count === 1 ? wanted : covered.spacing;
  return {
    level,
    flatTop: flatTopSpacing("parabola", size),
    spacing: laid,
    ...(covered === undefined ? {} : { across: covered }),
    area: metal,
    layerHeight: meanLayerHeight(metal, laid),
    overlap: laid > width ? null : overlapOf(size, laid),
    findings: checkSpacing(width, laid),
  };
}

function wallOf({ wall, clean, area }: SpacingOptions, beads: SideBySide | undefined): Wall | undefined {
  if (wall === undefined && clean === undefined) return undefined;
  if (wall === undefined || clean === undefined)
    throw new BeadbenchError(
      "bad-argument",
      `a wall has two widths: give ${wall === undefined ? '--wall, over its waves, such as "5.8 mm"' : '--clean, between its valleys, such as "5 mm"'}`,
    );
  const widths = { total: wall, effective: clean };
  const metal = area ?? beads?.area;
  return {
    ...wallShape(widths),
    ...(metal === undefined ? {} : { layerHeight: wallLayerHeight(metal, widths) }),
  };
}

function beadsText({
  level,
  flatTop,
  spacing,
  across,
  area,
  layerHeight,
  overlap,
  findings,
}: SideBySide): string {
  return [
    `A layer stays level at a spacing of ${fixed(level, 2)} mm (parabolas); one bead's metal fills ${fixed(flatTop, 2)} mm to its own height, where real beads climb\n`,
    across === undefined
      ? ""
      : `${counted(across.count, "bead covers", "beads cover")} the width${across.count === 1 ? "" : `, ${fixed(across.spacing, 2)} mm apart`}\n`,
    `At ${fixed(spacing, 2)} mm: mean layer height ${fixed(layerHeight, 2)} mm (${significant(area)} mm2 per bead)`,
    overlap === null
      ? "\n"
      : `, valleys ${fixed(overlap.valleyDepth, 2)} mm deep before the second bead flows in, ${significant(overlap.overlapArea)} mm2 shared\n`,
    findingsBelow(findings),
    "\nAn estimate for beads of one shape: lay three side by side on scrap and look whether the third stands higher.\n",
  ].join("");
}

function wallText({ waviness, meanWidth, usable, layerHeight }: Wall): string {
  return [
    `Wall: waves ${fixed(waviness, 2)} mm deep on each side, ${fixed(meanWidth, 2)} mm of width carry the metal, ${percent(usable)} is left after machining\n`,
    layerHeight === undefined
      ? "With --area it tells the height of a layer.\n"
      : `A layer adds ${fixed(layerHeight, 2)} mm\n`,
  ].join("");
}
