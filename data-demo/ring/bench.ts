import { type RandomStream, randomStream } from "../../lib/numeric/index.js";
import { CYLINDER, type Rig } from "./laws.js";
import { Logbook } from "./log.js";

/** The rig with its logbook, and what is done to it between layers and builds. */
export class Bench {
  readonly log = new Logbook();
  readonly stream: RandomStream;
  readonly rig: Rig = {
    firmware: 1,
    tungsten: 0,
    gas: 0,
    wire: 0,
    tangled: false,
    caught: 0,
    on: 0,
    lost: 0,
    source: 0,
    warmth: 1,
    readsGauge: false,
  };

  constructor(seed: number) {
    this.stream = randomStream(seed);
  }

  flash(): void {
    this.rig.firmware = 2;
    this.log.change({
      what: "firmware",
      detail: "2: wire pulled back before the arc goes out, long step counter",
    });
  }

  grind(build?: string): void {
    this.rig.tungsten = 0;
    this.#change({ what: "tungsten", detail: "ground to 30 deg", life: { value: 4, unit: "h" } }, 8, build);
  }

  newSpool(build?: string): void {
    this.rig.tangled = this.stream.uniform() < 0.3;
    this.rig.wire = 560;
    this.#change({ what: "wire_spool", detail: "5 kg", life: { value: 560, unit: "m" } }, 10, build);
  }

  newCylinder(build?: string, bar = 200): void {
    this.rig.gas = CYLINDER * bar;
    const detail = bar === 200 ? "argon, 20 L at 200 bar" : `argon, 20 L, begun, at ${bar} bar`;
    this.#change(
      { what: "gas_cylinder", detail, life: { value: CYLINDER * (bar - 7), unit: "L" } },
      12,
      build,
    );
  }

  #change(change: Parameters<Logbook["change"]>[0], minutes: number, build: string | undefined): void {
    this.log.pass(minutes);
    this.log.change({ ...change, ...(build === undefined ? {} : { build }) });
  }
}
