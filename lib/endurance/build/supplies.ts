import { requireNumber } from "../../errors/index.js";
import type { PhysicalSetting } from "../../models/settings/index.js";
import { wireArea } from "../../process/wire/index.js";
import type { Assumptions } from "./assumptions.js";
import type { PartOutline } from "./outline.js";

/** What a layer is laid with, where it differs from the rest. */
export interface LayerSetting {
  readonly setting?: PhysicalSetting;
  /** s before this layer. */
  readonly dwell?: number;
  /** Stand-off is measured and set anew before this layer. */
  readonly relevel?: boolean;
}

/** What one layer takes. */
export interface LayerNeed {
  readonly layer: number;
  /** s. */
  readonly arcTime: number;
  readonly starts: number;
  /** m. */
  readonly wire: number;
  /** L. */
  readonly gas: number;
  /** s from the end of the layer before to the end of this one, changes and dwell included, stops not. */
  readonly time: number;
  /** What is changed before or in this layer. */
  readonly changes: readonly ("cylinder" | "spool" | "tungsten" | "contact tip")[];
}

/** What a build takes from start to end, without stops. */
export interface Supplies {
  readonly layers: readonly LayerNeed[];
  /** h of arc, of waiting between layers, and in all. */
  readonly arcTime: number;
  readonly dwell: number;
  readonly time: number;
  readonly starts: number;
  /** m and kg. */
  readonly wire: number;
  readonly wireMass: number;
  /** L, the purge included. */
  readonly gas: number;
  /** Full cylinders opened after the one in place, and new spools. */
  readonly cylinders: number;
  readonly spools: number;
  readonly tungstenChanges: number;
  readonly tipChanges: number;
  readonly relevels: number;
  /** kWh; null where the power of the source is not known. */
  readonly electricity: number | null;
}

/** The settings and the wire of a build. */
export interface BuildSetting {
  readonly setting: PhysicalSetting;
  /** g/cm3. */
  readonly wireDensity: number;
}

/** A store that is used up and changed for a full one. */
function store(left: number, full: number): (use: number) => number {
  let present = left;
  return (use) => {
    present -= use;
    if (present >= 0 || full <= 0) return 0;
    const opened = Math.ceil(-present / full);
    present += opened * full;
    return opened;
  };
}

/**
 * Adds up time, wire, gas and electricity of a build, layer by layer, with the layers at which a cylinder, a spool or a
 * tungsten is changed. Changes are made between layers where they can be: the layer named is the one that would run out.
 *
 * @param perLayer - what differs in a layer; the build's setting stands for the rest
 * @throws {BeadbenchError} `bad-argument` without a travel speed
 */
export function buildSupplies({
  outline,
  build,
  assumptions,
  perLayer = () => ({}),
}: {
  readonly outline: PartOutline;
  readonly build: BuildSetting;
  readonly assumptions: Assumptions;
  readonly perLayer?: (layer: number) => LayerSetting;
}): Supplies {
  const of = (name: keyof Assumptions): number => assumptions[name].value;
  const diameter = build.setting.wire_diameter;
  const massPerMetre = diameter === undefined ? 0 : wireArea(diameter) * build.wireDensity;
  const gasStore = store(of("cylinder_left"), of("cylinder_gas"));
  const wireStore = store(1000 * of("spool_left"), 1000 * of("spool_mass"));
  const tungsten = store(3600 * of("tungsten_life"), 3600 * of("tungsten_life"));
  const tip = store(of("tip_life"), of("tip_life"));
  const opened = { cylinder: gasStore(of("purge_gas")), spool: 0, tungsten: 0, tip: 0 };
  const sum = { arc: 0, dwell: 0, time: 0, starts: 0, wire: 0, gas: of("purge_gas"), energy: 0, relevels: 0 };
  let powerKnown = true;
  const layers = outline.layers.map(({ layer, path, starts }): LayerNeed => {
    const own = perLayer(layer);
    const setting = { ...build.setting, ...own.setting };
    const speed = requireNumber("travel speed", setting.travel_speed ?? Number.NaN, {
      above: 0,
      unit: "mm/s",
    });
    const arcTime = path / speed;
    const dwell = layer === 1 ? 0 : (own.dwell ?? of("dwell"));
    const flow = setting.gas_flow ?? 0;
    const gas =
      (flow * (arcTime + starts * (of("pre_flow") + of("post_flow"))) + of("dwell_flow") * dwell) / 60;
    const wire = ((setting.wire_feed_speed ?? 0) * arcTime) / 1000;
    const cylinders = gasStore(gas);
    const spools = wireStore(wire * massPerMetre);
    const grinds = of("tungsten_life") > 0 ? tungsten(arcTime) : 0;
    const tips = of("tip_life") > 0 ? tip(wire) : 0;
    const every = of("relevel_every");
    const relevel = layer > 1 && (own.relevel ?? (every > 0 && (layer - 1) % every === 0));
    const time =
      arcTime +
      dwell +
      starts * of("start_time") +
      60 *
        (cylinders * of("cylinder_change") +
          spools * of("spool_change") +
          grinds * of("tungsten_change") +
          tips * of("tip_change") +
          (relevel ? of("relevel_time") : 0));
    const power = setting.power ?? (setting.arc_voltage ?? Number.NaN) * (setting.current ?? Number.NaN);
    if (!Number.isFinite(power)) powerKnown = false;
    opened.cylinder += cylinders;
    opened.spool += spools;
    opened.tungsten += grinds;
    opened.tip += tips;
    sum.arc += arcTime;
    sum.dwell += dwell;
    sum.time += time;
    sum.starts += starts;
    sum.wire += wire;
    sum.gas += gas;
    sum.relevels += relevel ? 1 : 0;
    sum.energy += (power * arcTime) / of("source_efficiency") + of("standing_power") * time;
    return {
      layer,
      arcTime,
      starts,
      wire,
      gas,
      time,
      changes: [
        ...(cylinders > 0 ? (["cylinder"] as const) : []),
        ...(spools > 0 ? (["spool"] as const) : []),
        ...(grinds > 0 ? (["tungsten"] as const) : []),
        ...(tips > 0 ? (["contact tip"] as const) : []),
      ],
    };
  });
  return {
    layers,
    arcTime: sum.arc / 3600,
    dwell: sum.dwell / 3600,
    time: sum.time / 3600,
    starts: sum.starts,
    wire: sum.wire,
    wireMass: (sum.wire * massPerMetre) / 1000,
    gas: sum.gas,
    cylinders: opened.cylinder,
    spools: opened.spool,
    tungstenChanges: opened.tungsten,
    tipChanges: opened.tip,
    relevels: sum.relevels,
    electricity: powerKnown ? sum.energy / 3.6e6 : null,
  };
}
