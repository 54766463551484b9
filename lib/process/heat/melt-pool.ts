import { BeadbenchError, requireNumber } from "../../errors/index.js";
import { fixed } from "../../numeric/figures/index.js";
import { findRoot, minimiseScalar, scaleUntil } from "../../numeric/roots/index.js";
import { scaledBesselK0 } from "./bessel.js";
import { type MovingSource, requireSource } from "./rosenthal.js";

/** Size of the region hotter than a temperature. */
export interface IsothermSize {
  /** mm, both sides. */
  readonly width: number;
  /** mm behind the source. */
  readonly behind: number;
  /** mm ahead of the source. */
  readonly ahead: number;
}

/**
 * Size of the melt pool (or any isotherm) on a thick plate, solved from Rosenthal's field and not from
 * its fast-travel limit, which is a third too wide at TIG speeds. Expect +-30 %: the field knows no
 * convection, no latent heat and no wire.
 *
 *     length behind q / (2 pi k (Tm - T0)), whatever the speed
 *
 * @param meltTemperature - Tm, degC
 * @throws {BeadbenchError} `bad-argument` for a source or material value that cannot be, naming it
 * @source Rosenthal, Trans. ASME 68 (1946) 849; derived here
 */
export function thickPlatePool(source: MovingSource, meltTemperature: number): IsothermSize {
  const { netPower, travelSpeed, conductivity, diffusivity } = requireSource(source);
  const rise = riseTo(meltTemperature, source.startTemperature);
  const behind = netPower / (2 * Math.PI * conductivity * rise);
  const scale = travelSpeed / (2 * diffusivity);
  return isothermSize((radius) => Math.log(behind / radius) / scale, behind, scale);
}

/**
 * Size of the melt pool (or any isotherm) on a plate hot through.
 *
 * @param thickness - g, mm
 * @param meltTemperature - Tm, degC
 * @throws {BeadbenchError} `infeasible` when the source barely warms so thick a plate
 * @source Rosenthal, Trans. ASME 68 (1946) 849; derived here
 * @example thinPlatePool({ netPower: 1206, travelSpeed: 3, conductivity: 0.03, volumetricHeat: 0.0052, startTemperature: 20 }, 5, 1480).width // => 3.55968
 */
export function thinPlatePool(
  source: MovingSource,
  thickness: number,
  meltTemperature: number,
): IsothermSize {
  const { netPower, travelSpeed, conductivity, diffusivity } = requireSource(source);
  requireNumber("plate thickness", thickness, { above: 0, unit: "mm" });
  const rise = riseTo(meltTemperature, source.startTemperature);
  const strength = netPower / (2 * Math.PI * conductivity * thickness * rise);
  const scale = travelSpeed / (2 * diffusivity);
  const excess = (radius: number): number => Math.log(strength * scaledBesselK0(scale * radius)) / scale;
  let inner = 1 / scale;
  while (excess(inner) <= 0 && inner * scale > 1e-6) inner /= 2;
  if (excess(inner) <= 0) {
    throw new BeadbenchError(
      "infeasible",
      `${fixed(netPower, 0)} W cannot melt a plate of ${thickness} mm hot through; use the thick-plate formula`,
    );
  }
  const outer = scaleUntil({
    what: "end of the melt",
    x: inner,
    factor: 2,
    holds: (radius) => excess(radius) <= 0,
  });
  return isothermSize(excess, findRoot({ f: excess, lower: inner, upper: outer }).x, scale);
}

/**
 * An isotherm lies at `along = excess(r) - r` for each distance r from the source: it ends behind where the
 * excess is 0 and ahead where it is 2r.
 */
function isothermSize(excess: (radius: number) => number, behind: number, scale: number): IsothermSize {
  const close = Math.min(behind, 1 / scale) * 1e-3;
  const near = scaleUntil({
    what: "melt ahead of the source",
    x: close,
    factor: 0.5,
    holds: (radius) => excess(radius) >= 2 * radius,
  });
  const ahead = findRoot({ f: (radius) => excess(radius) - 2 * radius, lower: near, upper: behind }).x;
  const halfWidthSquared = (radius: number): number => radius ** 2 - (excess(radius) - radius) ** 2;
  const widest = minimiseScalar({ f: (radius) => -halfWidthSquared(radius), lower: ahead, upper: behind });
  if (!(widest.value <= 0)) {
    throw new BeadbenchError(
      "infeasible",
      "no width answers to these values of the source; check their units",
    );
  }
  return { width: 2 * Math.sqrt(-widest.value), behind, ahead };
}

/**
 * Christensen's operating parameter: below about 5 the fast-travel widths mislead.
 *
 *     n = q v / (4 pi a^2 rho c (Tm - T0))
 *
 * @throws {BeadbenchError} `bad-argument` for a source or material value that cannot be, naming it
 * @source Christensen, Davies and Gjermundsen, British Welding Journal 12 (1965) 54
 * @example operatingParameter({ netPower: 1206, travelSpeed: 3, conductivity: 0.03, volumetricHeat: 0.0052, startTemperature: 20 }, 1480) // => 1.13937
 */
export function operatingParameter(source: MovingSource, meltTemperature: number): number {
  const { netPower, travelSpeed, diffusivity, volumetricHeat } = requireSource(source);
  const rise = riseTo(meltTemperature, source.startTemperature);
  return (netPower * travelSpeed) / (4 * Math.PI * diffusivity ** 2 * volumetricHeat * rise);
}

/**
 * Width limit of a fast source on a thick plate.
 *
 *     2 sqrt(2q / (pi e rho c v dT))
 *
 * @returns mm
 * @throws {BeadbenchError} `bad-argument` for a source or material value that cannot be, naming it
 * @example fastThickWidth({ netPower: 1206, travelSpeed: 3, conductivity: 0.03, volumetricHeat: 0.0052, startTemperature: 20 }, 1480) // => 7.043
 */
export function fastThickWidth(source: MovingSource, meltTemperature: number): number {
  const { netPower, travelSpeed, volumetricHeat } = requireSource(source);
  const rise = riseTo(meltTemperature, source.startTemperature);
  return 2 * Math.sqrt((2 * netPower) / (Math.PI * Math.E * volumetricHeat * travelSpeed * rise));
}

/**
 * Width limit of a fast source on a plate hot through.
 *
 *     (q/v) sqrt(2/(pi e)) / (g rho c dT)
 *
 * @returns mm
 * @throws {BeadbenchError} `bad-argument` for a source or material value that cannot be, naming it
 * @example fastThinWidth({ netPower: 1206, travelSpeed: 3, conductivity: 0.03, volumetricHeat: 0.0052, startTemperature: 20 }, 5, 1480) // => 5.12499
 */
export function fastThinWidth(source: MovingSource, thickness: number, meltTemperature: number): number {
  const { netPower, travelSpeed, volumetricHeat } = requireSource(source);
  requireNumber("plate thickness", thickness, { above: 0, unit: "mm" });
  const rise = riseTo(meltTemperature, source.startTemperature);
  return ((netPower / travelSpeed) * Math.sqrt(2 / (Math.PI * Math.E))) / (thickness * volumetricHeat * rise);
}

function riseTo(temperature: number, start: number): number {
  requireNumber("melt temperature", temperature, { above: start, max: 3500, unit: "degC" });
  return temperature - start;
}
