/** One way a rig may be; everything but the state it is in. Survives JSON. */
export interface RigTraits {
  /** kappa at the reference stand-off, mm of growth per mm. */
  readonly slope: number;
  /** L, mm of stand-off over which the growth bends to a limit; null for a straight law. */
  readonly reach: number | null;
  /** sigma, independent part of the layer height, sd, mm. */
  readonly layerSd: number;
  /** Scatter of the readings beyond the gauge's, as of a rippled surface the next layer levels, sd, mm. */
  readonly rippleSd: number;
  /** D and rho: part of the layer height that lasts some layers, its sd in mm and its correlation from layer to layer. */
  readonly wanderSd: number;
  readonly wanderMemory: number;
  /** q, sd of the random change of growth per layer, mm. */
  readonly growthWalk: number;
  /** Steady change of growth, as by heat: mean and sd of its first value, mm per layer, and T, layers in which it fades; null for none. */
  readonly change: { readonly mean: number; readonly sd: number; readonly time: number } | null;
}

/** Growth above that at the reference stand-off, f(s), mm. */
export function growthPull(traits: RigTraits, above: number): number {
  const { slope, reach } = traits;
  return reach === null ? slope * above : slope * reach * Math.tanh(above / reach);
}

/** Slope of the growth between one sd of the log's stand-offs below its mean and one above. */
export function slopeWithin(traits: RigTraits, sd: number): number {
  return sd > 0 ? growthPull(traits, sd) / sd : traits.slope;
}
