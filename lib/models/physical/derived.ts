import { BeadbenchError, valueUnless } from "../../errors/index.js";
import {
  arcEnergy,
  beamEnergy,
  conventionalVoltage,
  heatInput,
  physicalEfficiencies,
} from "../../process/arc/index.js";
import {
  arcOf,
  type ProcessFamily,
  processFacts,
  processOf,
  type SourcedValue,
  sourced,
} from "../../process/handbook/index.js";
import { cardEnthalpy, type MaterialCard, materialCard } from "../../process/material/index.js";
import {
  beadArea,
  depositionEfficiencies,
  depositionRate,
  wireLoad,
  wireShare,
} from "../../process/wire/index.js";
import type { DefinedStudy, StudyDefinition } from "../../study/index.js";
import type { PhysicalSetting } from "../settings/index.js";
import { handbookPriors, studyPrior } from "./study-prior.js";

/** What the physics takes from the study, and from handbooks where the study is silent. */
export interface RigPhysics {
  readonly process: ProcessFamily;
  /** What makes the heat: an arc of voltage and current, or a beam of a power. */
  readonly source: "arc" | "beam";
  /** Share of the source's power that reaches the part. */
  readonly efficiency: SourcedValue;
  readonly depositionEfficiency: SourcedValue;
  /** Heat that melts the wire, J/mm3. */
  readonly wireEnthalpy: SourcedValue;
  /** g/cm3. */
  readonly wireDensity: SourcedValue;
}

/** Enthalpy and density of steel, for a wire without a material card. */
const steel = {
  enthalpy: sourced(10, "J/mm3", "from memory", "steel, for a wire without a material card"),
  density: sourced(7.85, "g/cm3", "verified", "steel, for a wire without a material card"),
} as const;

/**
 * The physics of a study: its own values first, then material cards and published efficiencies, each with its source. A
 * wire without a material card counts as steel, which misleads for light or copper alloys: state `wire_enthalpy` and
 * `wire_density` under `priors` then.
 *
 * @throws {BeadbenchError} for a process that is not known, or a value of study.json that cannot be
 */
export function rigPhysics({ definition }: DefinedStudy): RigPhysics {
  const process = processOf(definition.process);
  const card = wireCard(definition);
  return {
    process,
    source: processFacts(process).heat.source,
    efficiency:
      definition.rig?.efficiency === undefined
        ? physicalEfficiencies[process]
        : sourced(definition.rig.efficiency, "1", "user", "study.json, rig.efficiency"),
    depositionEfficiency: ownOr(definition, "deposition_efficiency", () => depositionEfficiencies[process]),
    wireEnthalpy: ownOr(definition, "wire_enthalpy", () =>
      card === undefined
        ? steel.enthalpy
        : sourced(cardEnthalpy(card), "J/mm3", "derived", `material card ${card.id}`),
    ),
    wireDensity: ownOr(definition, "wire_density", () =>
      card === undefined ? steel.density : card.properties.density,
    ),
  };
}

/** A handbook value, or what the study puts in its place. */
function ownOr(
  definition: StudyDefinition,
  name: keyof typeof handbookPriors,
  handbook: () => SourcedValue,
): SourcedValue {
  const own = studyPrior(definition, name, handbookPriors[name]);
  return own === undefined
    ? handbook()
    : sourced(own, handbookPriors[name].unit, "user", `study.json, priors.${name}`);
}

/** The material card of a study's wire, where there is one. */
export function wireCard(definition: StudyDefinition): MaterialCard | undefined {
  for (const name of [definition.wire?.material, definition.wire?.classification]) {
    if (name === undefined) continue;
    try {
      return materialCard(name);
    } catch (error) {
      if (!(error instanceof BeadbenchError)) throw error;
    }
  }
  return undefined;
}

/** Voltage (V) of an arc of which nothing is told. */
const ANY_VOLTAGE = 12;

/** Arc voltage as set or logged; else a typical one for the process and current, V. */
export function arcVoltageOrTypical(physics: RigPhysics, setting: PhysicalSetting): number {
  if (setting.arc_voltage !== undefined) return setting.arc_voltage;
  const rated = conventionalVoltage(physics.process, setting.current ?? 150);
  return arcOf(physics.process)?.typicalVoltage ?? rated ?? ANY_VOLTAGE;
}

/** The settings that make the power of a heat source. */
const powerSettings = { arc: ["current"], beam: ["power"] } as const satisfies Readonly<
  Record<RigPhysics["source"], readonly (keyof PhysicalSetting)[]>
>;

interface DerivedQuantity {
  readonly unit: string;
  /** What it follows from; `heat` is current for an arc (its voltage may be the usual one), power for a beam. */
  readonly needs: readonly (keyof PhysicalSetting | "heat")[];
  readonly value: (setting: Required<PhysicalSetting>, physics: RigPhysics) => number;
}

/** The settings a derived quantity follows from in a study of this physics. */
export function neededFor(
  name: DerivedQuantityName,
  { source }: RigPhysics,
): readonly (keyof PhysicalSetting)[] {
  const { needs }: DerivedQuantity = derivedQuantities[name];
  return needs.flatMap((need) => (need === "heat" ? powerSettings[source] : [need]));
}

/** Energy of the source per length of bead, J/mm. */
function sourceEnergy(s: Required<PhysicalSetting>, physics: RigPhysics): number {
  switch (physics.source) {
    case "arc":
      return arcEnergy(arcVoltageOrTypical(physics, s), s.current, s.travel_speed);
    case "beam":
      return beamEnergy(s.power, s.travel_speed);
  }
}

const wire = (s: Required<PhysicalSetting>, physics: RigPhysics) => ({
  wireDiameter: s.wire_diameter,
  wireFeedSpeed: s.wire_feed_speed,
  depositionEfficiency: physics.depositionEfficiency.value,
});

/** Quantities a study may limit that follow from several settings; arc_energy and arc_power are those of a beam too. */
export const derivedQuantities = {
  arc_energy: {
    unit: "J/mm",
    needs: ["heat", "travel_speed"],
    value: sourceEnergy,
  },
  heat_input: {
    unit: "J/mm",
    needs: ["heat", "travel_speed"],
    value: (s, physics) => heatInput(sourceEnergy(s, physics), physics.efficiency.value),
  },
  arc_power: {
    unit: "W",
    needs: ["heat"],
    value: (s, physics) =>
      physics.source === "beam" ? s.power : arcVoltageOrTypical(physics, s) * s.current,
  },
  bead_area: {
    unit: "mm2",
    needs: ["wire_feed_speed", "travel_speed", "wire_diameter"],
    value: (s, physics) => beadArea(wire(s, physics), s.travel_speed),
  },
  wire_share: {
    unit: "1",
    needs: ["wire_feed_speed", "wire_diameter", "heat"],
    value: (s, physics) => {
      const fed = {
        wireDiameter: s.wire_diameter,
        wireFeedSpeed: s.wire_feed_speed,
        enthalpy: physics.wireEnthalpy.value,
      };
      const efficiency = physics.efficiency.value;
      if (physics.source === "beam") return wireLoad(fed) / (efficiency * s.power);
      return wireShare(fed, { voltage: arcVoltageOrTypical(physics, s), current: s.current, efficiency });
    },
  },
  deposition_rate: {
    unit: "g/s",
    needs: ["wire_feed_speed", "wire_diameter"],
    value: (s, physics) => depositionRate(wire(s, physics), physics.wireDensity.value),
  },
} as const satisfies Readonly<Record<string, DerivedQuantity>>;

/** Name of a derived quantity. */
export type DerivedQuantityName = keyof typeof derivedQuantities;

/**
 * A derived quantity of one setting, in the unit of {@link derivedQuantities}.
 *
 * @returns undefined when a setting it needs is unknown
 * @throws {BeadbenchError} when no rig could run the setting
 */
export function derivedQuantity(
  name: DerivedQuantityName,
  setting: PhysicalSetting,
  physics: RigPhysics,
): number | undefined {
  const quantity: DerivedQuantity = derivedQuantities[name];
  if (neededFor(name, physics).some((need) => setting[need] === undefined)) return undefined;
  return quantity.value(setting as Required<PhysicalSetting>, physics);
}

/** {@link derivedQuantity}, unknown also for a setting that no rig could run: the study's check says so. */
export function knownQuantity(
  name: DerivedQuantityName,
  setting: PhysicalSetting,
  physics: RigPhysics,
): number | undefined {
  return valueUnless("bad-argument", () => derivedQuantity(name, setting, physics));
}
