import { type Command, InvalidArgumentError } from "commander";
import type { Finding } from "../../errors/index.js";
import { onlyDefined, ownValue } from "../../errors/index.js";
import {
  absurdity,
  type DerivedQuantityName,
  derivedQuantities,
  derivedQuantity,
  equipmentLoad,
  type PhysicalSetting,
  physicalSettingOf,
  physicalSettingOfCoupon,
  type RigPhysics,
  resolvePriors,
  rigPhysics,
} from "../../models/index.js";
import { percent, significant } from "../../numeric/index.js";
import {
  checkEquipment,
  type EquipmentCheck,
  type EyeShade,
  eyeShade,
  type ProcessFamily,
  processFacts,
  processOf,
} from "../../process/index.js";
import type { Study } from "../../study/index.js";
import { answer } from "../answer.js";
import { parseAssignments } from "../assignments.js";
import { parseEquipment } from "../equipment.js";
import { readText, studyAt } from "../files.js";
import type { CommandIo } from "../io.js";
import { findingsText, textTable, wrap } from "../text.js";

interface PhysicsOptions {
  readonly equipment?: string;
  readonly duty: number;
  readonly json?: boolean;
}

/** The physics of one coupon or setting. */
interface PhysicsRow {
  readonly name: string;
  /** In the units of `derivedQuantities`; what cannot be derived is absent. */
  readonly quantities: Readonly<Partial<Record<DerivedQuantityName, number>>>;
  /** Why the setting was refused, when it was. */
  readonly refused?: string;
  readonly equipment?: EquipmentCheck;
}

const names = Object.keys(derivedQuantities) as DerivedQuantityName[];

export function define(command: Command, io: CommandIo): void {
  command
    .option("--equipment <file>", "JSON with the makers' ratings: which piece binds at each setting")
    .option("--duty <share>", "share of ten minutes with the arc on, for --equipment", dutyShare, 1)
    .addHelpText(
      "after",
      `
For one setting name it: beadbench physics my-study current=150A travel_speed="180 mm/min" wire_feed_speed="1.2 m/min"
An equipment file: { "source": { "current": "200 A", "duty": 0.35 }, "torch": { "current": "180 A", "duty": 0.6 },
  "tungsten": { "diameter": "2.4 mm", "polarity": "dc-negative" }, "cup": { "bore": "11.1 mm" },
  "orifice": { "current": "100 A", "plasmaGas": "0.6 L/min" } (of a plasma torch),
  "feeder": { "largestSpeed": "5 m/min" }, "water": { "flow": "2 L/min", "inlet": "20 degC" } }`,
    )
    .action(async (folder: string, items: readonly string[], options: PhysicsOptions) => {
      const study = studyAt(io, folder);
      resolvePriors(study);
      const physics = rigPhysics(study);
      const process = processOf(study.definition.process);
      const equipment =
        options.equipment === undefined
          ? undefined
          : parseEquipment(await readText(io, options.equipment), options.equipment);
      const shown = settingsToShow(study, items);
      const rows = shown.map(({ name, setting, refused }): PhysicsRow => {
        if (refused !== undefined) return { name, quantities: {}, refused };
        const load = equipmentLoad({ setting, physics, duty: options.duty });
        return {
          name,
          quantities: quantitiesOf(setting, physics),
          ...(equipment === undefined || load === undefined
            ? {}
            : { equipment: checkEquipment(load, equipment) }),
        };
      });
      const eyes = eyeProtection(process, shown);
      const unrated = options.equipment === undefined ? undefined : unratedRows(rows);
      const notes =
        options.equipment === undefined
          ? []
          : unratedFindings({ rows, file: options.equipment, source: physics.source });
      answer({
        io,
        options,
        result: { physics, rows, ...onlyDefined({ unrated, eyes }) },
        text: () =>
          `${physicsText(physics, rows, notes)}${physics.source === "beam" ? beamText(process) : eyesText(eyes)}`,
      });
    });
}

interface Shown {
  readonly name: string;
  readonly setting: PhysicalSetting;
  readonly refused?: string;
}

function settingsToShow({ definition, coupons }: Study, items: readonly string[]): readonly Shown[] {
  if (items.length > 0) {
    const { values, units } = parseAssignments(definition, items);
    const typed = Object.entries(values).flatMap(([name, value]) =>
      typeof value === "number" ? [[name, { value, unit: ownValue(units, name) ?? "1" }] as const] : [],
    );
    const rig = {
      ...definition.rig,
      settings: { ...definition.rig?.settings, ...Object.fromEntries(typed) },
    };
    return [{ name: "setting", setting: physicalSettingOf({ definition: { ...definition, rig } }, {}) }];
  }
  return coupons
    .filter(({ state }) => state !== "voided")
    .map((coupon) => {
      const refused = absurdity({ definition }, coupon);
      return {
        name: coupon.id,
        setting: physicalSettingOfCoupon({ definition }, coupon),
        ...onlyDefined({ refused }),
      };
    });
}

function quantitiesOf(setting: PhysicalSetting, physics: RigPhysics): PhysicsRow["quantities"] {
  return Object.fromEntries(
    names.flatMap((name) => {
      const value = derivedQuantity(name, setting, physics);
      return value === undefined ? [] : [[name, value]];
    }),
  );
}

/** Rows that no rating was held against: without its current a setting loads nothing that could be told. */
const unratedRows = (rows: readonly PhysicsRow[]): readonly string[] =>
  rows.flatMap(({ name, equipment, refused }) =>
    equipment === undefined && refused === undefined ? [name] : [],
  );

/** What says so; silence would read as "nothing binds". */
function unratedFindings({
  rows,
  file,
  source,
}: {
  readonly rows: readonly PhysicsRow[];
  readonly file: string;
  readonly source: RigPhysics["source"];
}): readonly Finding[] {
  const unrated = unratedRows(rows);
  if (rows.length > 0 && unrated.length === 0) return [];
  const [message, advice] =
    rows.length === 0
      ? [
          `there is no coupon to hold the ratings of ${file} against`,
          'name a setting, such as current=150A travel_speed="180 mm/min"',
        ]
      : [
          `${fewOf(unrated)}: the ratings of ${file} were not held against ${unrated.length === 1 ? "it" : "them"}, because ${source === "beam" ? "a beam has no current, which they are given for" : `${unrated.length === 1 ? "its" : "their"} current is not known`}`,
          source === "beam"
            ? "hold the source against its maker's ratings by hand"
            : 'make current a factor, log it with each coupon (current=150A), or put it under rig.settings of study.json ("current": "150 A")',
        ];
  return [{ code: "ratings-unused", severity: "warning", message, advice }];
}

/** Names in a sentence, the first few where they are many. */
const fewOf = (names: readonly string[]): string =>
  names.length > 6 ? `${names.slice(0, 5).join(", ")} and ${names.length - 5} more` : names.join(", ");

/** Findings on the equipment; one that several rows share is said once, with their names. */
function equipmentFindings(rows: readonly PhysicsRow[]): readonly Finding[] {
  const found = new Map<string, { readonly finding: Finding; readonly names: string[] }>();
  for (const { name, equipment } of rows) {
    for (const finding of equipment?.findings ?? []) {
      const same = found.get(finding.message) ?? { finding, names: [] };
      same.names.push(name);
      found.set(finding.message, same);
    }
  }
  return [...found.values()].map(({ finding, names: all }) => ({
    ...finding,
    message: `${fewOf(all)}: ${finding.message}`,
  }));
}

/** Filter shade for the largest current shown. */
interface EyeProtection {
  /** A. */
  readonly current: number;
  /** Null where the table has none. */
  readonly shade: EyeShade | null;
}

function eyeProtection(process: ProcessFamily, shown: readonly Shown[]): EyeProtection | undefined {
  const currents = shown.flatMap(({ refused, setting: { current } }) =>
    refused === undefined && current !== undefined ? [current] : [],
  );
  if (currents.length === 0) return undefined;
  const current = Math.max(...currents);
  return { current, shade: eyeShade(process, current) };
}

/** The caution on a beam, which no filter shade answers. */
const beamText = (process: ProcessFamily): string => `\n${wrap(processFacts(process).caution)}\n`;

/** The caution on arc light; numbers with their source, local rules first. */
function eyesText(eyes: EyeProtection | undefined): string {
  if (eyes === undefined) return "";
  const { current, shade } = eyes;
  const number =
    shade === null
      ? `no filter shade is at hand for ${significant(current)} A here: ask the helmet maker`
      : `for ${significant(current)} A a filter of shade ${shade.least.value} at least (${shade.least.source})${shade.suggested === null ? "" : `, ${shade.suggested.value} to begin with (${shade.suggested.source})`}`;
  return `\n${wrap(`Arc light: ${number}. Local rules and the helmet maker come first. Ultraviolet and infrared burn eyes and skin in seconds, also by reflection: cover skin, screen bystanders, filter every window and camera.`)}\n`;
}

function physicsText(physics: RigPhysics, rows: readonly PhysicsRow[], notes: readonly Finding[]): string {
  const shown = names.filter((name) => rows.some(({ quantities }) => quantities[name] !== undefined));
  const withEquipment = rows.some(({ equipment }) => equipment !== undefined);
  const refused = rows.filter((row) => row.refused !== undefined);
  const findings = [...notes, ...equipmentFindings(rows)];
  return [
    textTable(
      [
        { title: "coupon" },
        ...shown.map((name) => ({
          title: `${name} [${derivedQuantities[name].unit}]`,
          align: "right" as const,
        })),
        ...(withEquipment ? [{ title: "binds" }] : []),
      ],
      rows.map(({ name, quantities, equipment }) => [
        name,
        ...shown.map((quantity) => {
          const value = quantities[quantity];
          return value === undefined ? "-" : significant(value);
        }),
        ...(withEquipment
          ? [
              equipment === undefined
                ? "-"
                : `${equipment.binding.piece} at ${percent(equipment.binding.load)}`,
            ]
          : []),
      ]),
    ),
    `\nTaken: ${physics.source} efficiency ${physics.efficiency.value} (${physics.efficiency.source}); deposition efficiency ${physics.depositionEfficiency.value} (${physics.depositionEfficiency.source}); wire enthalpy ${significant(physics.wireEnthalpy.value)} J/mm3 (${physics.wireEnthalpy.source})\n`,
    ...refused.map(({ name, refused: why }) => `${name}: ${why}\n`),
    findings.length === 0 ? "" : `\n${findingsText(findings)}`,
  ].join("");
}

function dutyShare(text: string): number {
  const value = Number(text);
  if (!(value > 0 && value <= 1))
    throw new InvalidArgumentError("Write a share above 0 and up to 1, such as 0.6.");
  return value;
}
