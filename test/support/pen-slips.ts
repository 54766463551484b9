import { type RandomStream, randomStream } from "../../lib/numeric/index.js";
import { type Coupon, measuredOf, parseStudyDefinition } from "../../lib/study/index.js";
import { drawRig } from "../rigs/drawn-rig.js";
import { developmentRigs } from "../rigs/index.js";
import type { RigFormulas } from "../rigs/rig.js";
import { coupon, shows } from "./studies.js";
import { type Beads, beadsOf } from "./unit-slips.js";

/** A study with slips of the pen, and which they are. */
export interface PennedStudy extends Beads {
  /** Coupons with a slip, and its size in standard deviations of the scatter. */
  readonly slips: ReadonlyMap<string, number>;
}

/** Values as a sheet holds them: two decimals. */
const typed = (value: number): string => value.toFixed(2);

/** One slip of the pen in a number as typed: a decimal mark, a digit, two digits swapped, one millimetre. */
function slipOfThePen(value: number, stream: RandomStream): number {
  const text = typed(value);
  const digits = [...text].flatMap((character, i) => (/\d/.test(character) ? [i] : []));
  for (;;) {
    const kind = stream.integer(0, 3);
    let slipped = value;
    if (kind === 0) slipped = stream.uniform() < 0.5 ? value * 10 : value / 10;
    else if (kind === 1) slipped = value + (stream.uniform() < 0.5 ? 1 : -1);
    else {
      const places = [...text];
      const k = stream.integer(0, digits.length - 1);
      const at = digits[k]!;
      const next = digits[k + 1];
      if (kind === 2 && next !== undefined) [places[at], places[next]] = [places[next]!, places[at]!];
      else places[at] = String(stream.integer(0, 9));
      slipped = Number(places.join(""));
    }
    const result = Number(kind === 0 ? slipped.toPrecision(3) : slipped.toFixed(2));
    if (result > 0 && result !== Number(text)) return result;
  }
}

/** The beads as typed into a sheet, with a slip in about one coupon of ten, in one of its sizes. */
function penned(beads: Beads, scatter: Readonly<Record<string, number>>, stream: RandomStream): PennedStudy {
  const slips = new Map<string, number>();
  const names = beads.definition.responses.filter(({ kind }) => kind === "measured").map(({ name }) => name);
  const coupons = beads.coupons.map((one): Coupon => {
    const clean = Object.fromEntries(names.map((name) => [name, Number(typed(measuredOf(one, name)!))]));
    const honest = shows(one, { measured: clean });
    if (stream.uniform() >= 0.1) return honest;
    const name = names[stream.integer(0, names.length - 1)]!;
    const slipped = slipOfThePen(clean[name]!, stream);
    slips.set(one.id, Math.abs(Math.log(slipped / clean[name]!)) / scatter[name]!);
    return shows(honest, { measured: { [name]: slipped } });
  });
  return { ...beads, coupons, slips };
}

/** How a check of studies with slips came out. */
export interface SlipTally {
  readonly sound: number;
  readonly soundNamed: number;
  /** Slips larger than four standard deviations. */
  readonly slips: number;
  readonly slipsNamed: number;
}

/** Tallies which coupons of some studies were named. */
export function tallySlips(
  studies: readonly PennedStudy[],
  named: (study: PennedStudy) => ReadonlySet<string>,
): SlipTally {
  let [sound, soundNamed, slips, slipsNamed] = [0, 0, 0, 0];
  for (const study of studies) {
    const found = named(study);
    for (const { id } of study.coupons) {
      const size = study.slips.get(id);
      if (size === undefined) {
        sound++;
        if (found.has(id)) soundNamed++;
      } else if (size > 4) {
        slips++;
        if (found.has(id)) slipsNamed++;
      }
    }
  }
  return { sound, soundNamed, slips, slipsNamed };
}

/** Studies of 24 beads with slips, of one kind of rig each, with a proportional scatter of 3 to 8 %. */
export function pennedStudies(
  kind: "drawn" | "tests" | "odd law",
  count: number,
  seed: number,
): readonly PennedStudy[] {
  return Array.from({ length: count }, (_, i) => {
    const stream = randomStream(seed).split(i);
    const sd = 0.03 + 0.05 * stream.uniform();
    const scatter = (rig: RigFormulas) =>
      Object.fromEntries(Object.keys(rig.scatter).map((name) => [name, sd] as const));
    const beads =
      kind === "odd law"
        ? { beads: oddBeads(stream, 24, sd), sds: { bead_width: sd, bead_height: sd } }
        : [kind === "drawn" ? drawRig(stream, kind) : developmentRigs[i % developmentRigs.length]!].map(
            (rig) => ({
              beads: beadsOf({ ...rig, scatter: scatter(rig) }, stream, 24),
              sds: scatter(rig),
            }),
          )[0]!;
    return penned(beads.beads, beads.sds, stream);
  }).filter(({ coupons }) => coupons.length >= 20);
}

/**
 * Beads of a law that no model holds: widths saturate in the current and ripple with the voltage, heights bend with the
 * square of the torch angle; neither wire feed nor travel is known.
 */
function oddBeads(stream: RandomStream, count: number, sd: number): Beads {
  const [gain, bend, ripple] = [0.5 + stream.uniform(), 0.3 * stream.uniform(), 0.05 * stream.uniform()];
  const definition = parseStudyDefinition({
    schema: "beadbench/study/1",
    name: "odd law",
    process: "135",
    wire: { classification: "ER70S-6", diameter: "1.2 mm" },
    factors: [
      { name: "current", unit: "A", low: 120, high: 260 },
      { name: "arc_voltage", unit: "V", low: 18, high: 28 },
      { name: "torch_angle", unit: "deg", low: 60, high: 120 },
    ],
    responses: [
      { name: "bead_width", unit: "mm" },
      { name: "bead_height", unit: "mm" },
    ],
  });
  const coupons = Array.from({ length: count }, (_, i) => {
    const [a, b, c] = [stream.uniform(), stream.uniform(), stream.uniform()];
    const width = 5 + (4 * gain * a) / (0.4 + a) + b * (1 + ripple * Math.sin(9 * a));
    const height = 3.2 - 0.8 * a * b + bend * (2 * c - 1) ** 2;
    return coupon(`C${i + 1}`, {
      order: i + 1,
      settings: {
        current: 120 + Math.round(140 * a),
        arc_voltage: 18 + Math.round(100 * b) / 10,
        torch_angle: 60 + Math.round(60 * c),
      },
      measured: {
        bead_width: width * Math.exp(sd * stream.normal()),
        bead_height: height * Math.exp(sd * stream.normal()),
      },
    });
  });
  return { name: "odd law", definition, coupons };
}
