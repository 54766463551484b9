import type { Response } from "../../study/index.js";
import { convert } from "../../units/index.js";
import { measuredSize } from "../physical/index.js";
import type { Priors } from "../priors/index.js";
import { type Affine, combine } from "./affine.js";
import type { Coordinate } from "./coordinates.js";
import { exponentSdsOf, exponentsOf, powerLaw, slopeSds } from "./exponents.js";
import { genericScale } from "./generic-scale.js";
import type { LatentPrior } from "./latent-prior.js";
import type { PhysicalLogs } from "./physical-logs.js";
import type { LinkScale } from "./response-link.js";
import { widthAtCentre } from "./width-at-centre.js";

/** A measured response with the hidden quantity of its own. */
export interface ResponsePart extends LinkScale {
  readonly response: Response;
  readonly prior: LatentPrior;
  readonly offset: Affine;
  /** Coefficient of the response's own latent. */
  readonly own: number;
  /** Coefficient of the latent whose role is "width"; 0 where the response has nothing to do with it. */
  readonly width: number;
}

/** What every part of a study follows from. */
export interface PartContext {
  readonly coordinates: readonly Coordinate[];
  readonly logs: PhysicalLogs;
  readonly priors: Priors;
}

/** Width: a power law of the settings about what an energy balance gives. */
export function widthPart(response: Response, context: PartContext): ResponsePart {
  const { coordinates, priors } = context;
  return {
    response,
    prior: {
      role: "width",
      name: "ln width",
      ...widthLaw(context),
      constantSd: Math.hypot(priors.width_sd, priors.width_per_current * context.logs.efficiencyDoubt),
      ...spread(response, priors, [priors.width_scatter, priors.width_departure]),
    },
    offset: flat(coordinates),
    width: 0,
    own: 1,
    ...logScale(response, "mm"),
  };
}

function widthLaw({ coordinates, logs, priors }: PartContext): Pick<LatentPrior, "mean" | "slopeSds"> {
  const law = exponentsOf(priors, logs.currentFromFeed ? "fed_width" : "width");
  return {
    mean: powerLaw(logs, law, widthAtCentre(logs, priors)),
    slopeSds: slopeSds(coordinates, exponentSdsOf(priors, "width"), priors.width_other_slope_sd),
  };
}

/**
 * Height by conservation of mass, `h = A / (c w)`: its own latent is the fullness c, or c times w where no width
 * is measured.
 */
export function heightPart(
  response: Response,
  context: PartContext,
  width: Response | undefined,
): ResponsePart {
  const { coordinates, logs, priors } = context;
  const kind =
    (measuredSize(response)?.of ?? (width && measuredSize(width)?.of)) === "wall" ? "wall" : "bead";
  const logFullness = Math.log(priors[`${kind}_fullness`]);
  const fullnessSds = fullnessSlopeSds(context);
  const common = { response, own: -1, offset: logs.area, ...logScale(response, "mm") };
  if (width !== undefined) {
    const prior: LatentPrior = {
      role: "fullness",
      name: "ln fullness",
      mean: flat(coordinates, logFullness),
      constantSd: priors[`${kind}_fullness_sd`],
      slopeSds: fullnessSds,
      ...spread(response, priors, [priors.fullness_scatter, priors.fullness_departure]),
    };
    return { ...common, prior, width: -1 };
  }
  const { mean, slopeSds: widthSds } = widthLaw(context);
  const prior: LatentPrior = {
    role: "width-and-fullness",
    name: "ln width x fullness",
    mean: combine([[1, mean]], logFullness),
    constantSd: priors.lone_height_sd,
    slopeSds: fullnessSds.map((sd, j) => Math.hypot(sd, widthSds[j]!)),
    ...spread(response, priors, [priors.lone_height_scatter, priors.lone_height_departure]),
  };
  return { ...common, prior, width: 0 };
}

function fullnessSlopeSds({ coordinates, priors }: PartContext): readonly number[] {
  return slopeSds(coordinates, exponentSdsOf(priors, "fullness"), priors.fullness_other_slope_sd);
}

/** A measured section: the metal fed, and how much of it stayed. */
export function areaPart(response: Response, context: PartContext): ResponsePart {
  const { coordinates, logs, priors } = context;
  return {
    response,
    prior: {
      role: "metal-kept",
      name: "ln metal kept",
      mean: flat(coordinates),
      constantSd: priors.metal_kept_sd,
      slopeSds: fullnessSlopeSds(context),
      ...spread(response, priors, [priors.metal_kept_scatter, priors.metal_kept_departure]),
    },
    offset: logs.area,
    width: 0,
    own: 1,
    ...logScale(response, "mm2"),
  };
}

/** Any other response on its own; penetration follows the physics as far as it is known. */
export function otherPart(
  response: Response,
  { coordinates, logs, priors }: Omit<PartContext, "logs"> & Partial<PartContext>,
  values: readonly number[],
): ResponsePart {
  const scale = genericScale(response, values);
  const melted = response.name === "penetration" && scale.log ? logs : undefined;
  const kind = scale.log ? "log_response" : "linear_response";
  const usual = [priors[`${kind}_scatter`], priors[`${kind}_departure`]] as const;
  return {
    response,
    prior: {
      role: "response",
      name: response.name,
      mean:
        melted === undefined ? flat(coordinates) : powerLaw(melted, exponentsOf(priors, "penetration"), 0),
      constantSd: priors[`${kind}_sd`],
      slopeSds:
        melted === undefined
          ? coordinates.map((axis) => priors[`${kind}_slope_sd`] / axis.half)
          : slopeSds(coordinates, exponentSdsOf(priors, "penetration"), priors.penetration_other_slope_sd),
      ...(scale.log ? spread(response, priors, usual) : spreadOf(priors, usual)),
    },
    offset: flat(coordinates),
    width: 0,
    own: 1,
    ...scale,
  };
}

const flat = (coordinates: readonly Coordinate[], constant = 0): Affine => ({
  constant,
  slopes: coordinates.map(() => 0),
});

/** The logarithm of a size in mm or mm2, so that the links speak the physics' units. */
function logScale(response: Response, unit: string): LinkScale {
  return { log: true, origin: -Math.log(convert(1, response.unit, unit)), scale: 1 };
}

/** Medians of scatter and of departure. */
type Medians = readonly [scatter: number, departure: number];
type Spread = Pick<LatentPrior, "scatter" | "departure" | "block" | "trend" | "shiftSd">;

/** Scatter with the gauge's own, in proportion to the middle of the specification. */
function spread(response: Response, priors: Priors, [scatter, departure]: Medians): Spread {
  const { lower, target, upper } = response.spec ?? {};
  const middle =
    target ?? (lower !== undefined && upper !== undefined ? 0.5 * (lower + upper) : (lower ?? upper));
  const gauge =
    response.gaugeSd === undefined || middle === undefined || middle <= 0 ? 0 : response.gaugeSd / middle;
  return spreadOf(priors, [Math.hypot(scatter, gauge), departure]);
}

function spreadOf(priors: Priors, [scatter, departure]: Medians): Spread {
  return {
    scatter: { median: scatter, logSd: priors.scatter_spread },
    departure: { median: departure, logSd: priors.departure_spread },
    block: { median: priors.block_share * scatter, logSd: priors.block_spread },
    trend: { median: priors.trend_share * scatter, logSd: priors.trend_spread },
    shiftSd: priors.older_shift_share * scatter,
  };
}
