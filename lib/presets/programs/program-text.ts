import { inWords, settingDigits } from "../../numeric/index.js";
import { parseIn, withUnit } from "../../units/index.js";
import {
  allOffLines,
  commentLines,
  endLines,
  plainNumbers,
  plainText,
  type SwitchLine,
  startLines,
  stopLines,
  wordNumber,
} from "../machine/index.js";
import type { CouponProgram, ProgramCoupon } from "./coupon-program.js";
import type { Bead, Place } from "./shapes.js";

/** Speed at which the tip goes down to the plate, and at most that of the machine. Common practice, no source. */
const APPROACH = 300;

/**
 * A program of coupons as RS-274 by NISTIR 6556, with no parameter, expression or subroutine; switching words are the machine map's.
 * It stands still before every coupon, so that somebody sets what it cannot and lets it go on. With `dry` it leaves out every word
 * that switches or sets: moves alone, to be watched first.
 */
export function couponProgramText(
  program: CouponProgram,
  { dry = false }: { readonly dry?: boolean } = {},
): string {
  const { machine, coupons, lost, cautions, plate, safeHeight, study, shape } = program;
  const switched = (lines: readonly SwitchLine[]): readonly string[] =>
    dry ? [] : lines.map(({ words, remark }) => `${words} (${remark})`);
  const ends = endLines(machine);
  return [
    `(Coupon program - ${shape} - ${coupons.length} of them${dry ? " - DRY RUN - moves alone" : ""})`,
    ...commentLines("study", study),
    ...commentLines("machine", machine.name),
    ...cautions.flatMap((caution) => commentLines("CAUTION", caution)),
    ...lost.flatMap((what) => commentLines("NOT CARRIED", what)),
    `(plate ${wordNumber(plate.width)} by ${wordNumber(plate.depth)} mm - X0 Y0 its front left corner - Z0 the tip on the plate)`,
    "G17 G21 G90 G94",
    ...(dry ? [] : allOffLines(machine).map(({ words, remark }) => `${words} (${remark})`)),
    `G0 Z${wordNumber(safeHeight)}`,
    ...coupons.flatMap((coupon, i) => couponLines(coupon, { program, place: i + 1, switched })),
    ...switched(allOffLines(machine)),
    `G0 Z${wordNumber(safeHeight)}`,
    ...(dry || ends.length === 0 ? [] : ["M0 (go on when the part is cold)", ...switched(ends)]),
    "M2",
  ]
    .map((line) => `${line}\n`)
    .join("");
}

function couponLines(
  coupon: ProgramCoupon,
  {
    program: { machine, coupons, safeHeight },
    place,
    switched,
  }: {
    readonly program: CouponProgram;
    readonly place: number;
    readonly switched: (lines: readonly SwitchLine[]) => readonly string[];
  },
): readonly string[] {
  const { id, beads, dwell, settings, words, sequence } = coupon;
  const bead = { settings, sequence, machine, style: plainNumbers };
  const told = [
    ...Object.entries(settings).map(
      ([name, { value, unit }]) => `${inWords(name)} ${withUnit(settingDigits(value), unit)}`,
    ),
    ...Object.entries(words).map(([name, word]) => `${inWords(name)} ${word}`),
  ];
  return [
    `(coupon ${place} of ${coupons.length} - ${plainText(id).slice(0, 60)})`,
    ...commentLines("set", told.join(", ")),
    `G0 X${wordNumber(beads[0]!.from.x)} Y${wordNumber(beads[0]!.from.y)}`,
    `M0 (coupon ${place} - set what the program does not - all clear)`,
    ...beads.flatMap((one, i) => [
      ...(i === 0 || dwell === 0 ? [] : [`G4 P${wordNumber(dwell)} (wait before layer ${one.layer})`]),
      ...beadLines(one, { coupon, safeHeight, fastest: parseIn(machine.fastest, "mm/min") }).flatMap(
        (line) =>
          line === START ? switched(startLines(bead)) : line === STOP ? switched(stopLines(bead)) : [line],
      ),
    ]),
  ];
}

/** Where the arc begins and ends among the moves of a bead. */
const START = "start";
const STOP = "stop";

function beadLines(
  { layer, from, moves }: Bead,
  {
    coupon: { travel },
    safeHeight,
    fastest,
  }: { readonly coupon: ProgramCoupon; readonly safeHeight: number; readonly fastest: number },
): readonly string[] {
  let at = from;
  return [
    `G0 X${wordNumber(from.x)} Y${wordNumber(from.y)} (layer ${layer})`,
    `G1 Z${wordNumber(from.z)} F${wordNumber(Math.min(APPROACH, fastest))}`,
    START,
    `F${wordNumber(travel)}`,
    ...moves.map(({ to, centre }) => {
      const line =
        centre === undefined
          ? `G1 ${axes(to)}`
          : `G3 X${wordNumber(to.x)} Y${wordNumber(to.y)} I${wordNumber(centre.x - at.x)} J${wordNumber(centre.y - at.y)}`;
      at = to;
      return line;
    }),
    STOP,
    `G0 Z${wordNumber(safeHeight)}`,
  ];
}

const axes = ({ x, y, z }: Place): string => `X${wordNumber(x)} Y${wordNumber(y)} Z${wordNumber(z)}`;
