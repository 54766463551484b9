import { BeadbenchError, type Finding, onlyDefined, requireNumber } from "../../errors/index.js";
import { fixed } from "../../numeric/figures/index.js";
import { laminarCeiling } from "../gas/index.js";
import type { ProcessFamily } from "../handbook/index.js";
import { requireSetting } from "../handbook/index.js";
import { waterHeat, waterOutletLimit } from "./cooling-water.js";
import { currentAtDuty, type DutyRating } from "./duty-cycle.js";
import { checkPlasma, type Orifice } from "./plasma-torch.js";
import { checkTungsten, type Polarity, tungstenRange } from "./tungsten.js";

/** The rig's pieces and what each bears; leave out what is not known. */
export interface Equipment {
  readonly source?: DutyRating;
  readonly torch?: DutyRating;
  readonly tungsten?: { readonly diameter: number; readonly polarity: Polarity };
  /** Of a plasma torch. */
  readonly orifice?: Orifice;
  /** Bore, mm. */
  readonly cup?: { readonly bore: number };
  /** Largest feed it holds without slipping, mm/s. */
  readonly feeder?: { readonly largestSpeed: number };
  /** Cooling of base or torch: L/min, degC in, and degC out at which to stop (default 45). */
  readonly water?: { readonly flow: number; readonly inlet: number; readonly outletLimit?: number };
  /** Share kept back from duty ratings for long use. Default 0.1. */
  readonly margin?: number;
}

/** A setting as the pieces feel it. */
export interface EquipmentLoad {
  /** A; rms for a pulsed arc. */
  readonly current: number;
  /** Share of ten minutes with the arc on; see `worstDuty`. */
  readonly duty: number;
  /** W into the water while the arc burns. */
  readonly netPower?: number;
  /** Shielding gas, L/min. */
  readonly gasFlow?: number;
  /** Gas through the orifice of a plasma torch, L/min. */
  readonly plasmaGas?: number;
  /** mm/s. */
  readonly wireFeedSpeed?: number;
  /** With `plasma`, gas flows and orifice are looked at too. */
  readonly process?: ProcessFamily;
}

/** Pieces a setting is held against. */
export type Piece = "source" | "torch" | "tungsten" | "orifice" | "cup" | "feeder" | "water";

/** One piece against the setting. */
export interface PieceLoad {
  readonly piece: Piece;
  readonly quantity: string;
  readonly unit: string;
  readonly used: number;
  readonly allowed: number;
  /** used / allowed; above 1 the piece is overloaded. */
  readonly load: number;
}

/** A setting held against every piece that is known. */
export interface EquipmentCheck {
  /** Highest load first. */
  readonly pieces: readonly PieceLoad[];
  /** The piece nearest to, or furthest over, its limit. */
  readonly binding: PieceLoad;
  /** Largest current all pieces bear, and the one that sets it; null when none of them limits current. */
  readonly currentLimit: { readonly current: number; readonly piece: Piece } | null;
  readonly findings: readonly Finding[];
}

/**
 * Holds a setting against source duty, torch duty, tungsten, orifice, cup, feeder and cooling water, and says
 * which one binds. Ratings are the makers'; no finding is no permission to weld.
 *
 * @throws {BeadbenchError} when no piece is given, or a number is out of range
 */
export function checkEquipment(setting: EquipmentLoad, equipment: Equipment): EquipmentCheck {
  requireSetting("current", setting.current);
  requireNumber("duty (a share, 0.6 for 60 %)", setting.duty, { above: 0, max: 1 });
  const pieces = [...currentPieces(setting, equipment), ...otherPieces(setting, equipment)].sort(
    (a, b) => b.load - a.load,
  );
  const [binding] = pieces;
  if (binding === undefined) {
    throw new BeadbenchError(
      "bad-argument",
      "no piece of equipment to check the setting against: give source, torch, tungsten, orifice, cup, feeder or water",
    );
  }
  const limiting = pieces
    .filter(({ quantity }) => quantity === "current")
    .sort((a, b) => a.allowed - b.allowed)[0];
  return {
    pieces,
    binding,
    currentLimit: limiting === undefined ? null : { current: limiting.allowed, piece: limiting.piece },
    findings: [
      ...pieces.flatMap(overload),
      ...tungstenFindings(setting, equipment),
      ...plasmaFindings(setting, equipment),
    ],
  };
}

function currentPieces(setting: EquipmentLoad, equipment: Equipment): PieceLoad[] {
  const keep = 1 - requireNumber("margin", equipment.margin ?? 0.1, { min: 0, below: 1 });
  const rated = (piece: Piece, rating: DutyRating | undefined): PieceLoad[] =>
    rating === undefined
      ? []
      : [
          load({
            piece,
            quantity: "current",
            unit: "A",
            used: setting.current,
            allowed: keep * currentAtDuty(rating, setting.duty),
          }),
        ];
  const { tungsten, orifice } = equipment;
  return [
    ...rated("source", equipment.source),
    ...rated("torch", equipment.torch),
    ...(tungsten === undefined
      ? []
      : [
          load({
            piece: "tungsten",
            quantity: "current",
            unit: "A",
            used: setting.current,
            allowed: tungstenRange(tungsten.diameter, tungsten.polarity).upper.value,
          }),
        ]),
    ...(orifice === undefined
      ? []
      : [
          load({
            piece: "orifice",
            quantity: "current",
            unit: "A",
            used: setting.current,
            allowed: orifice.current,
          }),
        ]),
  ];
}

function otherPieces(setting: EquipmentLoad, equipment: Equipment): PieceLoad[] {
  const { cup, feeder, water } = equipment;
  const pieces: PieceLoad[] = [];
  if (cup !== undefined && setting.gasFlow !== undefined) {
    requireSetting("gas_flow", setting.gasFlow);
    pieces.push(
      load({
        piece: "cup",
        quantity: "gas flow",
        unit: "L/min",
        used: setting.gasFlow,
        allowed: laminarCeiling(cup.bore),
      }),
    );
  }
  if (feeder !== undefined && setting.wireFeedSpeed !== undefined) {
    requireSetting("wire_feed_speed", setting.wireFeedSpeed);
    pieces.push(
      load({
        piece: "feeder",
        quantity: "wire feed speed",
        unit: "mm/s",
        used: setting.wireFeedSpeed,
        allowed: feeder.largestSpeed,
      }),
    );
  }
  if (water !== undefined && setting.netPower !== undefined) {
    const room = (water.outletLimit ?? waterOutletLimit.value) - water.inlet;
    requireNumber("water: outlet limit less inlet", room, { above: 0, unit: "K" });
    const mean = setting.duty * requireNumber("net power", setting.netPower, { min: 0, unit: "W" });
    pieces.push(
      load({
        piece: "water",
        quantity: "mean heat",
        unit: "W",
        used: mean,
        allowed: waterHeat(water.flow, room),
      }),
    );
  }
  return pieces;
}

function load({
  piece,
  quantity,
  unit,
  used,
  allowed,
}: {
  readonly piece: Piece;
  readonly quantity: string;
  readonly unit: string;
  readonly used: number;
  readonly allowed: number;
}): PieceLoad {
  requireNumber(`what the ${piece} bears`, allowed, { above: 0, unit });
  return { piece, quantity, unit, used, allowed, load: used / allowed };
}

function overload({ piece, quantity, unit, used, allowed, load: share }: PieceLoad): Finding[] {
  // An overloaded tungsten or orifice has a finding of its own.
  if (share <= 1 || piece === "tungsten" || piece === "orifice") return [];
  return [
    {
      code: `${piece}-overloaded`,
      severity: "error",
      message: `${quantity} ${fixed(used, 1)} ${unit} is more than the ${piece} bears here (${fixed(allowed, 1)} ${unit})`,
      advice: `stop and check the maker's rating of the ${piece}; lower the setting or lengthen the dwell`,
      about: [piece],
    },
  ];
}

function tungstenFindings(setting: EquipmentLoad, { tungsten }: Equipment): readonly Finding[] {
  if (tungsten === undefined) return [];
  return checkTungsten(setting.current, tungstenRange(tungsten.diameter, tungsten.polarity));
}

function plasmaFindings(setting: EquipmentLoad, { orifice }: Equipment): readonly Finding[] {
  const { current, plasmaGas, gasFlow, process } = setting;
  if (process !== "plasma" && orifice === undefined) return [];
  return checkPlasma(
    {
      current,
      ...onlyDefined({ plasmaGas }),
      ...(gasFlow === undefined ? {} : { shieldGas: gasFlow }),
    },
    orifice,
  );
}
