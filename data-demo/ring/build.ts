import type { RandomStream } from "../../lib/numeric/index.js";
import type { Bench } from "./bench.js";
import {
  arcLostChance,
  CYLINDER,
  hoursToLoss,
  LAYER_ARC_MINUTES,
  LAYER_GAS,
  LAYER_WIRE,
  layerHeight,
  minutesLost,
  overlooksGauge,
  STANDOFF,
  sourceHeat,
  stuckChance,
  TOUCH,
  topTemperature,
} from "./laws.js";
import type { Logbook, Run } from "./log.js";

/** Layers of the ring. */
const LAYERS = 200;
/** Layers between readings. */
const READ_EVERY = 5;
/** Minutes lost in one build after which they give it up while less than half is laid. */
const PATIENCE = 110;

/** How a build is to be run. */
export interface Way {
  readonly build: string;
  readonly opens: string;
  /** mm after each layer. */
  readonly rise: number;
  /** Layers between levellings; none for never. */
  readonly relevelEvery?: number;
  /** min between layers. */
  readonly dwell: number;
}

export type Outcome = "finished" | "scrapped" | "given_up";

/** One ring while it grows. */
export class Build {
  readonly #run: Run = { starts: 0, arc: 0, machine: 0, wire: 0, gas: 0 };
  #standoff = STANDOFF;
  #height = 0;
  #lost = 0;

  readonly #way: Way;
  readonly #bench: Bench;
  readonly #stream: RandomStream;

  constructor(bench: Bench, way: Way) {
    this.#way = way;
    this.#bench = bench;
    this.#stream = bench.stream.split(way.build);
  }

  /** Lays layer upon layer until the ring is finished, lost or given up. */

  run(): Outcome {
    const way = this.#way;
    const { log } = this.#bench;
    log.open(way.opens);
    this.#switchOn();
    log.build({ build: way.build, event: "started", layer: 0 });
    for (let layer = 1; layer <= LAYERS; layer++) {
      this.#betweenLayers(layer);
      const end = this.#layer(layer);
      if (end !== undefined) {
        log.build(
          { build: way.build, event: "ended", layer: end === "given_up" ? layer : layer - 1, outcome: end },
          this.#run,
        );
        return end;
      }
      if (layer % READ_EVERY === 0 && layer < LAYERS) this.#read(layer);
      if (layer < LAYERS && log.isLate()) this.#restOvernight(layer);
    }
    log.pass(10);
    log.build({ build: way.build, event: "ended", layer: LAYERS, outcome: "finished" }, this.#run);
    return "finished";
  }

  #switchOn(): void {
    const { rig } = this.#bench;
    const stream = this.#stream;
    rig.on = 0;
    rig.lost = hoursToLoss(rig.firmware, stream);
    rig.source = 0;
    rig.caught = 0;
    rig.warmth = 1 + 0.1 * stream.normal();
  }

  #restOvernight(layer: number): void {
    const way = this.#way;
    const { log } = this.#bench;
    log.build(
      { build: way.build, event: "paused", layer, note: "argon off, stand-off and position written down" },
      this.#run,
    );
    log.sleep();
    this.#switchOn();
    log.build(
      { build: way.build, event: "resumed", layer, note: "homed, position and stand-off checked" },
      this.#run,
    );
  }

  /** Waits, levels, and changes what is used up. */
  #betweenLayers(layer: number): void {
    const way = this.#way;
    const { rig } = this.#bench;
    const bench = this.#bench;
    if (layer === 1) return;
    this.#wait(way.dwell);
    if (way.relevelEvery !== undefined && (layer - 1) % way.relevelEvery === 0) {
      this.#wait(4);
      this.#standoff = STANDOFF + 0.07 * this.#stream.normal();
    }
    if (rig.wire < LAYER_WIRE) bench.newSpool(way.build);
    const low = rig.gas < CYLINDER * 7 + LAYER_GAS;
    if (low && this.#stream.uniform() >= overlooksGauge(rig)) bench.newCylinder(way.build);
    if (rig.tungsten > 4) bench.grind(way.build);
  }

  #wait(minutes: number): void {
    this.#bench.log.pass(minutes);
    this.#run.machine += minutes / 60;
    this.#bench.rig.on += minutes / 60;
    this.#bench.rig.source = sourceHeat(this.#bench.rig.source, 0, minutes);
  }

  /** Lays one layer; an outcome where it is the last. */
  #layer(layer: number): Outcome | undefined {
    const { log, rig } = this.#bench;
    const stream = this.#stream;
    const way = this.#way;
    const place = { build: way.build, layer };
    const share = stream.uniform();
    this.#run.starts++;
    if (stream.uniform() < arcLostChance(rig)) {
      this.#stop({ ...place, what: "arc_lost", cause: "tungsten worn round" }, 9);
      this.#run.starts++;
      if (rig.tungsten > 2) this.#bench.grind(way.build);
    }
    if (rig.source * rig.warmth > 1.06) {
      this.#stop({ ...place, what: "source_overheated", cause: "warm day, fan intake dusty" }, 22);
      rig.source = 0.5;
      this.#run.starts++;
    }
    if (this.#standoff < TOUCH)
      return this.#ruined(
        { ...place, what: "tungsten_touched", cause: "rise too small, never levelled" },
        share,
      );
    if (rig.gas < CYLINDER * 2)
      return this.#ruined({ ...place, what: "gas_empty", cause: "nobody looked at the gauge" }, share);
    if (rig.on > rig.lost)
      return this.#ruined({ ...place, what: "position_lost", cause: "step counter ran over" }, share);
    this.#spend(1);
    const height = layerHeight(layer, this.#standoff, stream);
    this.#height += height;
    this.#standoff += way.rise - height;
    if (stream.uniform() < stuckChance(rig)) {
      rig.caught += 1;
      this.#stop({ ...place, what: "wire_stuck", cause: "wire froze into the crater" }, 13);
    }
    rig.caught *= 0.8;
    log.pass(0.2);
    return this.#lost > PATIENCE && layer < LAYERS / 2 ? "given_up" : undefined;
  }

  #spend(share: number): void {
    const { rig, log } = this.#bench;
    const arc = share * LAYER_ARC_MINUTES;
    log.pass(arc);
    rig.on += arc / 60;
    rig.tungsten += arc / 60;
    rig.gas -= share * LAYER_GAS;
    rig.wire -= share * LAYER_WIRE;
    rig.source = sourceHeat(rig.source, arc, 0);
    this.#run.arc += arc / 60;
    this.#run.machine += (arc + 0.2) / 60;
    this.#run.wire += share * LAYER_WIRE;
    this.#run.gas += share * LAYER_GAS;
  }

  #stop(what: Omit<Parameters<Logbook["incident"]>[0], "outcome">, middle: number): void {
    const minutes = minutesLost(middle, this.#stream);
    this.#lost += minutes;
    this.#bench.log.incident({ ...what, outcome: "resumed" }, minutes, this.#run);
    this.#bench.rig.source = sourceHeat(this.#bench.rig.source, 0, minutes);
  }

  #ruined(what: Omit<Parameters<Logbook["incident"]>[0], "outcome">, share: number): Outcome {
    this.#spend(share);
    this.#bench.log.incident({ ...what, outcome: "scrapped" }, minutesLost(25, this.#stream), this.#run);
    return "scrapped";
  }

  #read(layer: number): void {
    const stream = this.#stream;
    const { rig } = this.#bench;
    const way = this.#way;
    const reading = (value: number, sd: number): number => Number((value + sd * stream.normal()).toFixed(1));
    this.#bench.log.build(
      {
        build: way.build,
        event: "progress",
        layer,
        values: {
          standoff: reading(this.#standoff, 0.05),
          height: reading(this.#height, 0.1),
          cylinder_pressure: Math.round(rig.gas / CYLINDER),
          interpass_temperature: topTemperature(layer, stream),
        },
        units: { standoff: "mm", height: "mm", cylinder_pressure: "bar", interpass_temperature: "degC" },
      },
      this.#run,
    );
  }
}
