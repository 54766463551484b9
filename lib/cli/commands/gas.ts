import type { Command } from "commander";
import { BeadbenchError, type Finding, requireNumber } from "../../errors/index.js";
import { fixed, significant } from "../../numeric/index.js";
import {
  checkCylinder,
  checkRoomOxygen,
  gasInCylinder,
  readMixture,
  roomOxygen,
  roomOxygenAfterLoss,
  usableGas,
} from "../../process/index.js";
import { type AnswerOptions, answer } from "../answer.js";
import type { CommandIo } from "../io.js";
import { quantityIn } from "../options.js";
import { findingsBelow, wrap } from "../text.js";

interface GasOptions extends AnswerOptions {
  readonly gas?: string;
  readonly cylinder?: number;
  readonly pressure?: number;
  readonly temperature: number;
  readonly flow?: number;
  readonly for?: number;
  readonly room?: number;
  readonly airChanges?: number;
}

/** What is in a cylinder, and how far it goes. */
interface Cylinder {
  /** m3 at 15 degC and 1 bar. */
  readonly content: number;
  readonly usable: number;
  /** min at the flow; absent without one. */
  readonly timeLeft?: number;
  /** m3 for the time asked about; absent without one. */
  readonly needed?: number;
}

/** Oxygen in a room, %. */
interface Room {
  readonly airChanges: number;
  /** What it settles at under the flow; absent without one. */
  readonly settled?: number;
  /** After the whole cylinder has emptied into it; absent without one. */
  readonly afterLoss?: number;
}

/** Gauges read from the pressure of the air on, bar. */
const AIR_PRESSURE = 1.01325;
/** Air changes per hour of a closed room (common practice, no source); a cellar has fewer. */
const CLOSED_ROOM = 0.2;

const caution =
  "Argon suffocates without warning: it has no smell, is heavier than air and fills pits, cellars and enclosures from below, where less oxygen is left than these figures for mixed air say. Fit an oxygen alarm, placed low as its maker says, lead exhaust outdoors, never put the head into a purged box, leave at the alarm, and do not go in after someone who fell: call for help. Helium gathers under the ceiling instead; carbon dioxide poisons before it suffocates.";

export function define(command: Command, io: CommandIo): void {
  command
    .option("--gas <mixture>", 'in the cylinder, in % by volume, such as "Ar 82 CO2 18" or "He 30 Ar"', "Ar")
    .option("--cylinder <volume>", 'water volume stamped on the cylinder, such as "50 L"', quantityIn("L"))
    .option("--pressure <pressure>", 'what its gauge reads, such as "200 bar"', quantityIn("bar"))
    .option("--temperature <temperature>", "of the cylinder (default: 15 degC)", quantityIn("degC"), 15)
    .option("--flow <flow>", 'all gas drawn, such as "12 L/min"', quantityIn("L/min"))
    .option("--for <time>", 'how long it must last, gas on, such as "20 h"', quantityIn("min"))
    .option("--room <volume>", 'of the room, such as "30 m3": what oxygen is left in it', quantityIn("m3"))
    .option("--air-changes <n>", "air changes of the room per hour (default: 0.2, a closed room)", Number)
    .addHelpText(
      "after",
      "\nArgon within 0.3 %, its mixtures with He, CO2 (to 30 %), O2, N2 and H2 within 4 % of what their cylinders hold.",
    )
    .action((options: GasOptions) => {
      const cylinder = cylinderOf(options);
      const room = roomOf(options, cylinder);
      if (cylinder === undefined && room === undefined)
        throw new BeadbenchError(
          "bad-argument",
          'nothing to work out: give --cylinder "50 L" --pressure "200 bar", or --room "30 m3" with --flow "12 L/min"',
        );
      const findings = findingsOf(options, cylinder, room);
      answer({
        io,
        options,
        result: { cylinder, room, findings, cautions: [caution] },
        text: () => gasText({ options, cylinder, room, findings }),
      });
    });
}

function cylinderOf({
  gas = "Ar",
  cylinder,
  pressure,
  temperature,
  flow,
  for: time,
}: GasOptions): Cylinder | undefined {
  if (cylinder === undefined && pressure === undefined) {
    if (time === undefined) return undefined;
    throw new BeadbenchError(
      "bad-argument",
      "--for asks how long a cylinder lasts: give --cylinder and --pressure",
    );
  }
  if (cylinder === undefined || pressure === undefined)
    throw new BeadbenchError(
      "bad-argument",
      `--cylinder and --pressure belong together: give ${cylinder === undefined ? '--cylinder, such as "50 L"' : '--pressure, such as "200 bar"'} too`,
    );
  if (time !== undefined && flow === undefined)
    throw new BeadbenchError("bad-argument", '--for needs the flow: give --flow, such as "12 L/min"');
  requireNumber("the pressure a gauge reads", pressure, { min: 0, max: 350, unit: "bar" });
  if (flow !== undefined) requireNumber("gas flow", flow, { above: 0, unit: "L/min" });
  const content = gasInCylinder(readMixture(gas), {
    volume: cylinder,
    pressure: pressure + AIR_PRESSURE,
    temperature,
  });
  const usable = usableGas(content, cylinder);
  if (flow === undefined) return { content, usable };
  const timeLeft = (1000 * usable) / flow;
  if (time === undefined) return { content, usable, timeLeft };
  requireNumber("the time it must last", time, { above: 0, unit: "min" });
  return { content, usable, timeLeft, needed: (flow * time) / 1000 };
}

function roomOf({ room, airChanges, flow }: GasOptions, cylinder: Cylinder | undefined): Room | undefined {
  if (room === undefined) {
    if (airChanges === undefined) return undefined;
    throw new BeadbenchError("bad-argument", '--air-changes needs the room: give --room, such as "30 m3"');
  }
  if (flow === undefined && cylinder === undefined)
    throw new BeadbenchError(
      "bad-argument",
      '--room needs what flows into it: give --flow, such as "12 L/min", or --cylinder and --pressure',
    );
  const changes = airChanges ?? CLOSED_ROOM;
  return {
    airChanges: requireNumber("air changes per hour", changes, { above: 0, max: 100 }),
    ...(flow === undefined ? {} : { settled: roomOxygen(flow, room, changes) }),
    ...(cylinder === undefined ? {} : { afterLoss: roomOxygenAfterLoss(cylinder.content, room) }),
  };
}

function findingsOf(
  options: GasOptions,
  cylinder: Cylinder | undefined,
  room: Room | undefined,
): readonly Finding[] {
  const worst = Math.min(...[room?.settled, room?.afterLoss].filter((oxygen) => oxygen !== undefined));
  return [
    ...(cylinder?.needed === undefined
      ? []
      : checkCylinder(cylinder.content, cylinder.needed, options.cylinder!)),
    ...(Number.isFinite(worst) ? checkRoomOxygen(worst) : []),
  ];
}

function gasText({
  options: { gas = "Ar", flow, airChanges },
  cylinder,
  room,
  findings,
}: {
  readonly options: GasOptions;
  readonly cylinder: Cylinder | undefined;
  readonly room: Room | undefined;
  readonly findings: readonly Finding[];
}): string {
  const lines: string[] = [];
  if (cylinder !== undefined) {
    const { content, usable, timeLeft, needed } = cylinder;
    lines.push(
      `Cylinder: ${significant(content)} m3 of ${gas === "Ar" ? "argon" : gas} (15 degC, 1 bar), ${significant(usable)} m3 of it usable: leave 7 bar in`,
    );
    if (timeLeft !== undefined)
      lines.push(`At ${significant(flow!)} L/min it lasts ${hours(timeLeft)} with the gas on`);
    if (needed !== undefined)
      lines.push(
        `Needed: ${significant(needed)} m3, which is ${significant(needed / Math.max(usable, 1e-9))} times what is usable`,
      );
  }
  if (room !== undefined) {
    const { settled, afterLoss } = room;
    if (settled !== undefined)
      lines.push(
        `Room with ${significant(room.airChanges)} air changes per hour${airChanges === undefined ? " (a closed room: common practice, no source)" : ""}: oxygen settles at ${fixed(settled, 1)} % while the gas flows`,
      );
    if (afterLoss !== undefined)
      lines.push(
        `Should the whole cylinder empty into it at once: ${fixed(afterLoss, 1)} % oxygen (air has 20.9 %)`,
      );
  }
  return `${lines.join("\n")}\n${findingsBelow(findings)}\n${wrap(caution)}\n`;
}

const hours = (minutes: number): string =>
  minutes < 120 ? `${significant(minutes)} min` : `${significant(minutes / 60)} h`;
