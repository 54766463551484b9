import type { Response, StudyDefinition } from "../../study/index.js";
import { convert } from "../../units/index.js";
import { dimensionsOf, measuredSize, type SizeRole, usualFullnessOf } from "../physical/index.js";
import { type Affine, combine } from "./affine.js";
import type { Coordinate } from "./coordinates.js";
import { genericScale } from "./generic-scale.js";
import type { PhysicalLogs } from "./physical-logs.js";
import type { ResponseLink } from "./response-link.js";
import { exponentSds, exponents, powerLaw, slopeSds, widthAtCentre } from "./width-prior.js";

/** What is expected of a hidden quantity before any coupon: an affine function, known so well. */
export interface LatentPrior {
  readonly name: string;
  readonly mean: Affine;
  readonly constantSd: number;
  /** Standard deviation of the slope along each axis. */
  readonly slopeSds: readonly number[];
  /** Median of the scatter from coupon to coupon. */
  readonly scatter: number;
  /** Median of the departure from the straight law. */
  readonly departure: number;
}

/** Hidden quantities of a study and the responses made of them. */
export interface LatentModel {
  readonly priors: readonly LatentPrior[];
  readonly links: readonly ResponseLink[];
}

interface Part {
  readonly prior: LatentPrior;
  readonly offset: Affine;
  /** Coefficient of the latent of width, and of the response's own. */
  readonly width: number;
  readonly own: number;
  readonly log: boolean;
  readonly origin: number;
  readonly scale: number;
}

/**
 * The hidden quantities of a study: width by a power law of the settings, fullness, and with them height by
 * conservation of mass, `h = A / (c w)`; other responses on their own.
 *
 * @param values - measured values of each response so far, to place scales the study leaves open
 */
export function latentModel(
  definition: StudyDefinition,
  coordinates: readonly Coordinate[],
  logs: PhysicalLogs | undefined,
  values: ReadonlyMap<string, readonly number[]>,
): LatentModel {
  const measured = dimensionsOf(definition);
  const positive = (response: Response): boolean =>
    (values.get(response.name) ?? []).every((value) => value > 0);
  const find = (role: SizeRole): Response | undefined =>
    measured.find((r) => measuredSize(r)?.role === role && positive(r));
  const width = logs && find("width");
  const height = logs && find("height");
  const area = logs && find("area");
  const ordered = width === undefined ? measured : [width, ...measured.filter((r) => r !== width)];
  const parts = ordered.map((response): Part => {
    if (logs !== undefined) {
      if (response === width) return widthPart(response, coordinates, logs);
      if (response === height) return heightPart(response, coordinates, logs, width);
      if (response === area) return areaPart(response, coordinates, logs);
    }
    return genericPart(response, coordinates, logs, values.get(response.name) ?? []);
  });
  const links = parts.map((part, index): ResponseLink => {
    const coefficients = parts.map(() => 0);
    coefficients[0] = part.width;
    coefficients[index] = part.own;
    const { log, origin, scale, offset } = part;
    return { response: ordered[index]!.name, log, origin, scale, offset, coefficients, own: index };
  });
  return { priors: parts.map((part) => part.prior), links };
}

const flat = (coordinates: readonly Coordinate[], constant = 0): Affine => ({
  constant,
  slopes: coordinates.map(() => 0),
});

/** ln of the response's unit in mm or mm2, so that the links speak the physics' units. */
function logUnit(response: Response, unit: string): number {
  return -Math.log(convert(1, response.unit, unit));
}

function widthPart(response: Response, coordinates: readonly Coordinate[], logs: PhysicalLogs): Part {
  return {
    prior: {
      name: "ln width",
      ...widthPrior(coordinates, logs),
      constantSd: Math.hypot(0.4, exponents.width.current * logs.efficiencyDoubt),
      ...spread(response, 0.045, 0.08),
    },
    offset: flat(coordinates),
    width: 0,
    own: 1,
    log: true,
    origin: logUnit(response, "mm"),
    scale: 1,
  };
}

function widthPrior(coordinates: readonly Coordinate[], logs: PhysicalLogs) {
  const law = logs.currentFromFeed ? exponents.widthByFeed : exponents.width;
  return {
    mean: powerLaw(logs, law, widthAtCentre(logs)),
    slopeSds: slopeSds(coordinates, exponentSds.width, 0.15),
  };
}

function heightPart(
  response: Response,
  coordinates: readonly Coordinate[],
  logs: PhysicalLogs,
  width: Response | undefined,
): Part {
  const usual = usualFullnessOf(measuredSize(response)?.of ?? (width && measuredSize(width)?.of), []);
  const logFullness = Math.log(usual.value.value);
  const fullnessSds = slopeSds(coordinates, exponentSds.fullness, 0.1);
  const common = { own: -1, log: true, origin: logUnit(response, "mm"), scale: 1, offset: logs.area };
  const fullness = {
    name: "ln fullness",
    mean: flat(coordinates, logFullness),
    constantSd: usual.logSd,
    slopeSds: fullnessSds,
    ...spread(response, 0.06, 0.05),
  };
  if (width !== undefined) return { ...common, prior: fullness, width: -1 };
  const { mean, slopeSds: widthSds } = widthPrior(coordinates, logs);
  const prior = {
    ...fullness,
    name: "ln width x fullness",
    mean: combine([[1, mean]], logFullness),
    constantSd: 0.42,
    slopeSds: fullnessSds.map((sd, j) => Math.hypot(sd, widthSds[j]!)),
    ...spread(response, 0.05, 0.08),
  };
  return { ...common, prior, width: 0 };
}

function areaPart(response: Response, coordinates: readonly Coordinate[], logs: PhysicalLogs): Part {
  return {
    prior: {
      name: "ln metal kept",
      mean: flat(coordinates),
      constantSd: 0.1,
      slopeSds: slopeSds(coordinates, exponentSds.fullness, 0.1),
      ...spread(response, 0.045, 0.05),
    },
    offset: logs.area,
    width: 0,
    own: 1,
    log: true,
    origin: logUnit(response, "mm2"),
    scale: 1,
  };
}

function genericPart(
  response: Response,
  coordinates: readonly Coordinate[],
  logs: PhysicalLogs | undefined,
  values: readonly number[],
): Part {
  const { log, origin, scale } = genericScale(response, values);
  const melted = response.name === "penetration" && log && logs !== undefined;
  const ranges = coordinates.map((axis) => 0.5 / axis.half);
  return {
    prior: {
      name: response.name,
      mean: melted ? powerLaw(logs, exponents.penetration, 0) : flat(coordinates),
      constantSd: log ? 0.7 : 3,
      slopeSds: melted
        ? slopeSds(coordinates, exponentSds.penetration, 0.3)
        : ranges.map((r) => (log ? r : 4 * r)),
      ...(log ? spread(response, 0.06, 0.1) : { scatter: 0.4, departure: 0.5 }),
    },
    offset: flat(coordinates),
    width: 0,
    own: 1,
    log,
    origin,
    scale,
  };
}

/** Scatter with the gauge's own, in proportion to the middle of the specification. */
function spread(response: Response, scatter: number, departure: number) {
  const { lower, target, upper } = response.spec ?? {};
  const middle =
    target ?? (lower !== undefined && upper !== undefined ? 0.5 * (lower + upper) : (lower ?? upper));
  const gauge =
    response.gaugeSd === undefined || middle === undefined || middle <= 0 ? 0 : response.gaugeSd / middle;
  return { scatter: Math.hypot(scatter, gauge), departure };
}
