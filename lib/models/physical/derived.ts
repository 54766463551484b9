import { BeadbenchError, valueUnless } from "../../errors/index.js";
import {
  arcEnergy,
  arcProcessOf,
  beadArea,
  cardEnthalpy,
  conventionalVoltage,
  depositionEfficiencies,
  depositionRate,
  heatInput,
  materialCard,
  physicalEfficiencies,
  type SourcedValue,
  sourced,
  wireShare,
} from "../../process/index.js";
import type { StudyDefinition } from "../../study/index.js";
import type { PhysicalSetting } from "./physical-setting.js";

/** What the physics takes from the study, and from handbooks where the study is silent. */
export interface RigPhysics {
  readonly process: ReturnType<typeof arcProcessOf>;
  /** Share of arc power that reaches the part. */
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

/** The physics of a study: its own values first, then material cards and published efficiencies. */
export function rigPhysics(definition: StudyDefinition): RigPhysics {
  const process = arcProcessOf(definition.process);
  const card = cardOf(definition);
  return {
    process,
    efficiency:
      definition.rig?.efficiency === undefined
        ? physicalEfficiencies[process]
        : sourced(definition.rig.efficiency, "1", "user", "study.json, rig.efficiency"),
    depositionEfficiency: depositionEfficiencies[process],
    wireEnthalpy:
      card === undefined
        ? steel.enthalpy
        : sourced(cardEnthalpy(card), "J/mm3", "derived", `material card ${card.id}`),
    wireDensity: card === undefined ? steel.density : card.properties.density,
  };
}

function cardOf(definition: StudyDefinition): ReturnType<typeof materialCard> | undefined {
  for (const name of [definition.wire.material, definition.wire.classification]) {
    if (name === undefined) continue;
    try {
      return materialCard(name);
    } catch (error) {
      if (!(error instanceof BeadbenchError)) throw error;
    }
  }
  return undefined;
}

/** Typical voltage of an argon TIG arc of 2 to 4 mm: common practice, no source. */
const TYPICAL_TIG_VOLTAGE = 12;

/** Arc voltage as set or logged; else a typical one for the process and current, V. */
export function arcVoltageOrTypical(physics: RigPhysics, setting: PhysicalSetting): number {
  if (setting.arc_voltage !== undefined) return setting.arc_voltage;
  const rated = conventionalVoltage(physics.process, setting.current ?? 150);
  return physics.process === "tig" || rated === undefined ? TYPICAL_TIG_VOLTAGE : rated;
}

interface DerivedQuantity {
  readonly unit: string;
  readonly needs: readonly (keyof PhysicalSetting)[];
  readonly value: (setting: Required<PhysicalSetting>, physics: RigPhysics) => number;
}

const wire = (s: Required<PhysicalSetting>, physics: RigPhysics) => ({
  wireDiameter: s.wire_diameter,
  wireFeedSpeed: s.wire_feed_speed,
  depositionEfficiency: physics.depositionEfficiency.value,
});

/** Quantities a study may limit that follow from several settings. */
export const derivedQuantities = {
  arc_energy: {
    unit: "J/mm",
    needs: ["current", "travel_speed"],
    value: (s, physics) => arcEnergy(arcVoltageOrTypical(physics, s), s.current, s.travel_speed),
  },
  heat_input: {
    unit: "J/mm",
    needs: ["current", "travel_speed"],
    value: (s, physics) =>
      heatInput(
        arcEnergy(arcVoltageOrTypical(physics, s), s.current, s.travel_speed),
        physics.efficiency.value,
      ),
  },
  arc_power: {
    unit: "W",
    needs: ["current"],
    value: (s, physics) => arcVoltageOrTypical(physics, s) * s.current,
  },
  bead_area: {
    unit: "mm2",
    needs: ["wire_feed_speed", "travel_speed", "wire_diameter"],
    value: (s, physics) => beadArea(wire(s, physics), s.travel_speed),
  },
  wire_share: {
    unit: "1",
    needs: ["wire_feed_speed", "wire_diameter", "current"],
    value: (s, physics) =>
      wireShare(
        {
          wireDiameter: s.wire_diameter,
          wireFeedSpeed: s.wire_feed_speed,
          enthalpy: physics.wireEnthalpy.value,
        },
        {
          voltage: arcVoltageOrTypical(physics, s),
          current: s.current,
          efficiency: physics.efficiency.value,
        },
      ),
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
  if (quantity.needs.some((need) => setting[need] === undefined)) return undefined;
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
