import type { StationSeries } from "./layer-log.js";
import type { RigTraits } from "./traits.js";

/** What a series says about a rig of given traits. Lists go by stand-off, growth, change of growth, wander. */
export interface Filtered {
  /** Log likelihood of all readings after the first. */
  readonly logLikelihood: number;
  /** Mean of the state before the layer that follows the last reading's stand-off. */
  readonly mean: readonly [standoff: number, growth: number, change: number, wander: number];
  /** Lower triangle of its covariance, row by row: ss, gs, gg, cs, cg, cc, ws, wg, wc, ww. */
  readonly covariance: readonly number[];
}

/** What the filter takes as known. */
export interface FilterSettings {
  /** Of one reading, mm2. */
  readonly gaugeVariance: number;
  /** Stand-off the growth refers to, mm. */
  readonly reference: number;
  /** Belief about the growth before the log, mm. */
  readonly growth: { readonly mean: number; readonly sd: number };
}

/**
 * Kalman filter of one place.
 *
 *     s[n+1] = s[n] + dz[n] - h[n] - f(s[n]) - d[n] + w, w ~ N(0, sigma^2)
 *     h[n+1] = h[n] + c[n] + q e, c[n+1] = c[n] exp(-1/T), d[n+1] = rho d[n] + D sqrt(1 - rho^2) e'
 *     y[n] = s[n] + v, v ~ N(0, gauge^2 + ripple^2)
 *     f(s) = kappa (s - s_ref), or kappa L tanh((s - s_ref)/L)
 *
 * The first reading starts the stand-off exactly (flat prior); everything else has a proper prior, so no
 * likelihood is conditioned on a flat one. The rise dz enters as what the torch did, so a correction that
 * followed from earlier readings needs no care. The update is Joseph's, which keeps variances from going
 * negative by rounding; a bent f is linearised at the expected stand-off.
 *
 * @source Harvey, Forecasting, Structural Time Series Models and the Kalman Filter (1989), sections 3.2 to 3.4;
 *   Jazwinski, Stochastic Processes and Filtering Theory (1970), section 8.3 (linearisation), from memory
 */
export function filterSeries(series: StationSeries, traits: RigTraits, settings: FilterSettings): Filtered {
  const { standoff, rise } = series;
  const { slope, reach, layerSd, rippleSd, wanderSd, wanderMemory: rho, growthWalk, change } = traits;
  const { reference } = settings;
  const gauge = settings.gaugeVariance + rippleSd * rippleSd;
  const layerVariance = layerSd * layerSd;
  const walkVariance = growthWalk * growthWalk;
  const wanderVariance = wanderSd * wanderSd * (1 - rho * rho);
  const fade = change === null ? 0 : Math.exp(-1 / change.time);
  let [s, h, c, d] = [standoff[0]!, settings.growth.mean, change === null ? 0 : change.mean, 0];
  let [ss, gs, gg] = [gauge, 0, settings.growth.sd ** 2];
  let [cs, cg, cc] = [0, 0, change === null ? 0 : change.sd ** 2];
  let [ws, wg, wc, ww] = [0, 0, 0, wanderSd * wanderSd];
  let logLikelihood = 0;
  for (let n = 1; n < standoff.length; n++) {
    let keep = 1 - slope;
    let pull = slope * (s - reference);
    if (reach !== null && slope !== 0) {
      const bent = Math.tanh((s - reference) / reach);
      keep = 1 - slope * (1 - bent * bent);
      pull = slope * reach * bent;
    }
    // Covariances of the stand-off with growth, change and wander after the step, then those among these.
    const [sg1, sc1, sw1] = [keep * gs - gg - wg, keep * cs - cg - wc, keep * ws - wg - ww];
    ss = keep * (keep * ss - 2 * (gs + ws)) + gg + 2 * wg + ww + layerVariance;
    gs = sg1 + sc1;
    cs = fade * sc1;
    ws = rho * sw1;
    gg += 2 * cg + cc + walkVariance;
    cg = fade * (cg + cc);
    cc *= fade * fade;
    wg = rho * (wg + wc);
    wc *= rho * fade;
    ww = rho * rho * ww + wanderVariance;
    s += rise[n - 1]! - h - d - pull;
    h += c;
    c *= fade;
    d *= rho;

    const measured = standoff[n]!;
    if (measured === null) continue;
    const total = ss + gauge;
    const surprise = measured - s;
    logLikelihood -= 0.5 * (Math.log(2 * Math.PI * total) + (surprise * surprise) / total);
    // Joseph: (I - K H) P (I - K H)' + K R K' with H = (1, 0, 0, 0).
    const left = gauge / total;
    const [ks, kg, kc, kw] = [ss / total, gs / total, cs / total, ws / total];
    s += ks * surprise;
    h += kg * surprise;
    c += kc * surprise;
    d += kw * surprise;
    gg += kg * (kg * total - 2 * gs);
    cg += kc * (kg * total) - kg * cs - kc * gs;
    cc += kc * (kc * total - 2 * cs);
    wg += kw * (kg * total) - kg * ws - kw * gs;
    wc += kw * (kc * total) - kc * ws - kw * cs;
    ww += kw * (kw * total - 2 * ws);
    ss = left * left * ss + ks * ks * gauge;
    gs *= left;
    cs *= left;
    ws *= left;
  }
  return { logLikelihood, mean: [s, h, c, d], covariance: [ss, gs, gg, cs, cg, cc, ws, wg, wc, ww] };
}
