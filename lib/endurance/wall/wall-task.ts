import { requireCount, requireNumber } from "../../errors/index.js";
import type { StudyData } from "../../study/index.js";
import type { Quantity } from "../../units/index.js";

/** What a preset foretells of one response. */
export interface ForetoldSize {
  readonly name: string;
  readonly unit: string;
  readonly median: number;
  /** 95 % of coupons. */
  readonly lower: number;
  readonly upper: number;
}

/** Settings that a wall is laid with. */
export interface WallSettings {
  readonly settings: Readonly<Record<string, Quantity>>;
  /** What they are said to give, where a preset says so. */
  readonly foretold: readonly ForetoldSize[];
  /** Within which they may move, by name; a lever keeps to it. */
  readonly ranges: Readonly<
    Record<string, { readonly low: number; readonly high: number; readonly unit: string }>
  >;
  readonly origin: "preset" | "study" | "given";
}

/** A setting that is changed from layer to layer so that all layers grow alike. */
export type WallLever = "current" | "travel_speed" | "wire_feed_speed";

/** The wall or ring to be built, and how. Lengths in mm, times in s, temperatures in degC. */
export interface WallTask {
  readonly study: StudyData;
  readonly with: WallSettings;
  /** Arc path of one layer. */
  readonly path: number;
  readonly layers?: number;
  /** In place of the number of layers. */
  readonly height?: number;
  readonly lever?: WallLever;
  /** Wait before every layer. Default 0. */
  readonly dwell?: number;
  readonly interpass?: number;
  /** Of the top after arc-off. */
  readonly timeConstant?: number;
  /** A constant rise the user has in mind. */
  readonly rise?: number;
  /** Finest rise the rig can make. Default 0.01. */
  readonly riseStep?: number;
  /** Layers between levellings; default what the band asks for. */
  readonly relevelEvery?: number;
  readonly assume?: Readonly<Record<string, Quantity>>;
  /** Of the bands. Default 0.9. */
  readonly level?: number;
}

/** Most layers that are planned in one go. */
const MOST_LAYERS = 1000;

/** @throws {BeadbenchError} `bad-argument` for a number that cannot be, naming it */
export function requireTask(task: WallTask): void {
  requireNumber("length of a layer", task.path, { above: 0, max: 1e5, unit: "mm" });
  if (task.layers !== undefined) requireCount("layers", task.layers, { min: 1, max: MOST_LAYERS });
  if (task.height !== undefined)
    requireNumber("height of the wall", task.height, { above: 0, max: 3000, unit: "mm" });
  if (task.dwell !== undefined) requireNumber("dwell", task.dwell, { min: 0, max: 86_400, unit: "s" });
  if (task.rise !== undefined) requireNumber("rise", task.rise, { above: 0, max: 20, unit: "mm" });
  if (task.riseStep !== undefined)
    requireNumber("step of the rise", task.riseStep, { above: 0, max: 1, unit: "mm" });
  if (task.relevelEvery !== undefined)
    requireCount("layers between levellings", task.relevelEvery, { min: 1 });
  requireNumber("level", task.level ?? 0.9, { above: 0, below: 1 });
}
