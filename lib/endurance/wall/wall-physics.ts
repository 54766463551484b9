import { BeadbenchError } from "../../errors/index.js";
import {
  arcVoltageOrTypical,
  derivedQuantity,
  measuredSize,
  type PhysicalSetting,
  physicalSetting,
  physicalSettingOf,
  type RigPhysics,
  resolvePriors,
  rigPhysics,
  wireCard,
} from "../../models/index.js";
import {
  type MaterialCard,
  processFacts,
  surfaceLoss,
  thickPlatePool,
  usualFullness,
} from "../../process/index.js";
import { convert } from "../../units/index.js";
import type { AssumptionBook } from "../assumptions/index.js";
import type { WallHeat } from "./heat-build-up.js";
import { usualInterpass } from "./interpass-limit.js";
import type { ForetoldSize, WallTask } from "./wall-task.js";

/** What physics and the preset say of a layer before any wall. */
export interface WallPhysics {
  readonly setting: PhysicalSetting;
  /** Without the interpass temperature, which the plan adds. */
  readonly heat: WallHeat;
  /** mm2 of metal per layer. */
  readonly area: number;
  /** mm. */
  readonly width: number;
  /** Growth of a layer of a cold wall by mass balance, mm, and the standard deviation of its logarithm. */
  readonly growth: number;
  readonly growthLogSd: number;
  readonly meltTemperature: number;
  /** Growth goes with (melting point - temperature) to this power. */
  readonly growthExponent: number;
  /** Whether the feed of a consumable electrode sets the current. */
  readonly consumable: boolean;
  /** Usual interpass limit of the alloy, degC, and its family. */
  readonly usualInterpass: { readonly family: string; readonly limit: number } | undefined;
}

const HABIT = "common practice, no source";

/** Physics of a task, every number through the book of assumptions. */
export function wallPhysics(task: WallTask, book: AssumptionBook): WallPhysics {
  const { study, with: given } = task;
  const physics = rigPhysics(study);
  const { values: priors } = resolvePriors(study);
  const setting: PhysicalSetting = {
    ...physicalSettingOf(study, {}),
    ...physicalSetting(Object.entries(given.settings).map(([name, quantity]) => ({ name, ...quantity }))),
  };
  const { travel_speed: travel } = setting;
  if (travel === undefined)
    throw new BeadbenchError(
      "bad-argument",
      "a wall needs its travel speed: give travel_speed, such as travel_speed=3mm/s, or a preset that has it",
    );
  const consumable = processFacts(physics.process).wire === "electrode";
  const voltage = book.take({
    name: "arc_voltage",
    value: arcVoltageOrTypical(physics, setting),
    unit: "V",
    origin: setting.arc_voltage === undefined ? "usual for the process" : given.origin,
    note: "of the burning arc",
    bounds: { above: 0, max: 80 },
  });
  const power = derivedQuantity("arc_power", { ...setting, arc_voltage: voltage }, physics);
  if (power === undefined)
    throw new BeadbenchError(
      "bad-argument",
      `a wall needs the heat of its arc: give ${physics.source === "beam" ? "power, such as power=2000W" : "current, such as current=150A"}, or a preset that has it`,
    );
  const efficiency = book.take({
    name: "efficiency",
    value: physics.efficiency.value,
    unit: "1",
    origin: physics.efficiency.source,
    note: "share of the power that heats the part",
    bounds: { above: 0, max: 1 },
  });
  const area = book.take({
    name: "bead_area",
    value: areaOf(setting, physics),
    unit: "mm2",
    origin: "mass balance of wire feed, travel and diameter",
    note: "metal of one layer",
    bounds: { above: 0, max: 1000 },
  });
  const card = wireCard(study.definition);
  const metal = metalOf(card, book);
  const base = book.take({
    name: "base_temperature",
    value: priors.start_temperature,
    unit: "degC",
    origin: HABIT,
    note: "of base and air at the start",
    bounds: { min: -60, max: 1000 },
  });
  const netPower = efficiency * power;
  const width = book.take({
    ...widthOf({ task, area, netPower, travel, base, metal }),
    bounds: { above: 0, max: 100 },
  });
  const fullness = book.take({
    name: "wall_fullness",
    value: priors.wall_fullness,
    unit: "1",
    origin: usualFullness.wall.value.source,
    note: "area of a layer over its width times its height",
    bounds: { above: 0.3, max: 1.3 },
  });
  const foretold = sizeOf(task, "height", "wall");
  const growth = book.take({
    name: "layer_height",
    value: foretold?.median ?? area / (fullness * width),
    unit: "mm",
    origin: foretold === undefined ? "mass balance: area over fullness and width" : given.origin,
    note: "growth of layers 4 to 8, before the wall heats up",
    bounds: { above: 0.05, max: 12 },
  });
  return {
    setting,
    area,
    width,
    growth,
    growthLogSd: book.take({
      name: "layer_height_doubt",
      value:
        foretold === undefined
          ? sizeOf(task, "width") === undefined
            ? 0.3
            : 0.15
          : Math.max(0.05, Math.log(foretold.upper / foretold.lower) / 4),
      unit: "1",
      origin: foretold === undefined ? HABIT : given.origin,
      note: "doubt about it before any wall, one standard deviation as a share",
      bounds: { above: 0, max: 1 },
    }),
    meltTemperature: metal.melt,
    growthExponent: book.take({
      name: "growth_exponent",
      value: 0.5,
      unit: "1",
      origin: "width of the melted zone on a plate hot through, as wide as it is thick (Rosenthal 1946)",
      note: "growth goes with (melting point - temperature) to this power",
      bounds: { min: 0, max: 2 },
    }),
    consumable,
    usualInterpass: usualInterpass(study),
    heat: {
      heatInput: netPower / travel,
      arcTime: task.path / travel,
      dwell: task.dwell ?? 0,
      thickness: width,
      layerHeight: growth,
      conductivity: metal.conductivity,
      volumetricHeat: metal.volumetricHeat,
      surroundings: base,
      surfaceLoss: book.take({
        name: "surface_loss",
        value: surfaceLoss.value,
        unit: "W/(m2 K)",
        origin: surfaceLoss.source,
        note: "convection from each face",
        bounds: { min: 0, max: 1000 },
      }),
      emissivity: book.take({
        name: "emissivity",
        value: 0.7,
        unit: "1",
        origin: HABIT,
        note: "of the faces, oxidised steel; bright metal has less",
        bounds: { min: 0, max: 1 },
      }),
      baseReturn: book.take({
        name: "base_return",
        value: -0.6,
        unit: "1",
        origin: HABIT,
        note: "heat the base sends back: -1 held cold, 0 like the wall, 1 none leaves",
        bounds: { min: -1, max: 1 },
      }),
    },
  };
}

function areaOf(setting: PhysicalSetting, physics: RigPhysics): number {
  const area = derivedQuantity("bead_area", setting, physics);
  if (area === undefined)
    throw new BeadbenchError(
      "bad-argument",
      "a wall needs its metal: give wire_feed_speed, such as wire_feed_speed=20mm/s, or a preset that has it",
    );
  return area;
}

interface Metal {
  readonly conductivity: number;
  readonly volumetricHeat: number;
  readonly melt: number;
}

function metalOf(card: MaterialCard | undefined, book: AssumptionBook): Metal {
  const of = card === undefined ? "steel, for a wire without a material card" : `material card ${card.id}`;
  const p = card?.properties;
  return {
    conductivity: book.take({
      name: "conductivity",
      value: p?.hotConductivity.value ?? 0.028,
      unit: "W/(mm K)",
      origin: of,
      note: "of the hot wall",
      bounds: { above: 0, max: 0.5 },
    }),
    volumetricHeat: book.take({
      name: "volumetric_heat",
      value: p === undefined ? 0.005 : p.density.value * p.meanSpecificHeat.value * 1e-6,
      unit: "J/(mm3 K)",
      origin: of,
      note: "density times mean specific heat",
      bounds: { above: 0, max: 0.01 },
    }),
    melt: book.take({
      name: "melt_temperature",
      value: p?.meltTemperature.value ?? 1480,
      unit: "degC",
      origin: of,
      note: "at which the pool ends",
      bounds: { min: 100, max: 3500 },
    }),
  };
}

/** A size the preset foretells, in mm. */
function sizeOf(
  { with: { foretold } }: WallTask,
  role: "width" | "height",
  of?: "wall",
): ForetoldSize | undefined {
  const found = foretold.filter(
    (one) => measuredSize(one)?.role === role && (of === undefined || measuredSize(one)?.of === of),
  );
  const one = found.find((size) => measuredSize(size)?.of === "wall") ?? found[0];
  if (one === undefined) return undefined;
  const mm = (value: number): number => convert(value, one.unit, "mm");
  return { ...one, unit: "mm", median: mm(one.median), lower: mm(one.lower), upper: mm(one.upper) };
}

function widthOf({
  task,
  area,
  netPower,
  travel,
  base,
  metal,
}: {
  readonly task: WallTask;
  readonly area: number;
  readonly netPower: number;
  readonly travel: number;
  readonly base: number;
  readonly metal: Metal;
}) {
  const told = sizeOf(task, "width");
  const name = "wall_width";
  const note = "mean width of the wall";
  if (told !== undefined)
    return { name, value: told.median, unit: "mm", origin: `${task.with.origin}, ${told.name}`, note };
  const pool = thickPlatePool(
    {
      netPower,
      travelSpeed: travel,
      conductivity: metal.conductivity,
      volumetricHeat: metal.volumetricHeat,
      startTemperature: base,
    },
    metal.melt,
  ).width;
  // A layer is never much taller than wide, whatever the plate formula says.
  return {
    name,
    value: Math.max(pool, Math.sqrt(1.5 * area)),
    unit: "mm",
    origin: "Rosenthal's thick plate, +-30 %",
    note,
  };
}
