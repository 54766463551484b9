import { type Finding, requireNumber } from "../../errors/index.js";
import { fixed } from "../../numeric/figures/index.js";
import { requireSetting, type SourcedValue, sourced } from "../handbook/index.js";

/** The constricting orifice of a plasma torch, as its maker rates it. */
export interface Orifice {
  /** Largest current, A, of that bore. */
  readonly current: number;
  /** Least plasma gas at that current, L/min. */
  readonly plasmaGas?: number;
}

/** Gas and current of a plasma torch. */
export interface PlasmaSetting {
  /** A. */
  readonly current: number;
  /** Gas through the orifice (pilot gas), L/min. */
  readonly plasmaGas?: number;
  /** Gas round the orifice, L/min. */
  readonly shieldGas?: number;
}

const practice = "common practice";

/** Gas through the orifice to begin with; the maker's table for the bore wins. */
export const plasmaGasFlow: SourcedValue = sourced(1, "L/min", "from memory", practice, [0.3, 2]);

/** Gas round the orifice to begin with. */
export const plasmaShieldFlow: SourcedValue = sourced(10, "L/min", "from memory", practice, [8, 15]);

/**
 * Whether current and gas suit the orifice of a plasma torch.
 *
 * Too much current for the bore, or too little gas through it, and the arc leaves the middle of the channel: it strikes
 * to the nozzle and from there to the work (double arcing), which ruins the orifice within seconds.
 *
 * @param orifice - the maker's rating; without it only the usual flows are looked at, and a finding says so
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 */
export function checkPlasma(setting: PlasmaSetting, orifice?: Orifice): readonly Finding[] {
  requireSetting("current", setting.current);
  return [
    ...orificeFindings(setting, orifice),
    ...flowFindings({
      what: "plasma gas",
      flow: setting.plasmaGas,
      usual: plasmaGasFlow,
      instead: ["less stiffens the arc too little and starves the pilot arc", "more cuts into the pool"],
    }),
    ...flowFindings({
      what: "shielding gas of the plasma torch",
      flow: setting.shieldGas,
      usual: plasmaShieldFlow,
      instead: ["less covers the pool poorly", "more may turn turbulent and draw in air"],
    }),
  ];
}

function orificeFindings({ current, plasmaGas }: PlasmaSetting, orifice: Orifice | undefined): Finding[] {
  if (orifice === undefined) {
    return [
      {
        code: "orifice-unknown",
        severity: "info",
        message: "the rating of the orifice is not given: whether it bears the current is not checked",
        advice: "look up current and least plasma gas for its bore in the maker's table",
        about: ["orifice"],
      },
    ];
  }
  const rated = requireSetting("current", orifice.current);
  const least = requireNumber("least plasma gas of the orifice", orifice.plasmaGas ?? 0, {
    min: 0,
    max: 20,
    unit: "L/min",
  });
  if (current > rated) {
    return [
      {
        code: "orifice-overloaded",
        severity: "error",
        message: `${fixed(current, 0)} A is above the orifice's ${fixed(rated, 0)} A: the arc may strike through the nozzle (double arcing) and ruin it`,
        advice: "stop and check the maker's rating; take a wider orifice or less current",
        about: ["orifice"],
      },
    ];
  }
  if (plasmaGas === undefined || plasmaGas >= least) return [];
  return [
    {
      code: "plasma-gas-low",
      severity: "error",
      message: `${fixed(plasmaGas, 2)} L/min of plasma gas is below the orifice's ${fixed(least, 2)} L/min: the arc may strike through the nozzle (double arcing)`,
      advice:
        "stop and check the maker's table; give more plasma gas, or take less current and a smaller orifice",
      about: ["orifice"],
    },
  ];
}

function flowFindings({
  what,
  flow,
  usual,
  instead: [less, more],
}: {
  readonly what: string;
  readonly flow: number | undefined;
  readonly usual: SourcedValue;
  readonly instead: readonly [string, string];
}): Finding[] {
  if (flow === undefined) return [];
  requireSetting("gas_flow", flow);
  const [lower, upper] = usual.range!;
  if (flow >= lower && flow <= upper) return [];
  return [
    {
      code: "plasma-flow-unusual",
      severity: "warning",
      message: `${fixed(flow, 2)} L/min of ${what} is outside the usual ${lower} to ${upper} L/min (from memory): ${flow < lower ? less : more}`,
      advice: "the maker's table for the torch and orifice wins",
    },
  ];
}
