import { type Finding, requireNumber, requireThat } from "../../errors/index.js";
import { fixed } from "../../numeric/figures/index.js";
import { requireSetting } from "../handbook/index.js";

/** What voltage and current samples of an arc say about its power. */
export interface WaveformPower {
  /** IP, mean of the instantaneous power, W: the one to use. */
  readonly meanPower: number;
  readonly meanVoltage: number;
  readonly meanCurrent: number;
  readonly rmsVoltage: number;
  readonly rmsCurrent: number;
  /** Error of mean voltage times mean current against the mean power, as a share. */
  readonly meanProductError: number;
  /** Error of rms voltage times rms current against the mean power, as a share. */
  readonly rmsProductError: number;
}

/**
 * Mean instantaneous power of an arc from voltage and current sampled together at equal steps.
 *
 *     IP = mean(u i)
 *
 * Products of two averaged readings may be wrong by up to about 30 % either way on pulsed arcs.
 * Sample whole periods, at 10 kHz or so, and take the voltage at the torch: half a volt to two volts
 * may be lost in the cables (from memory, at 150 A).
 *
 * @param voltage - u_k, V
 * @param current - i_k, A, as many as voltages
 * @throws {BeadbenchError} when the two differ in length, are empty, or hold anything but numbers
 * @source ASME IX QW-409.1; ISO/TR 18491; Melfi, Welding Journal 2010
 * @example waveformPower([14, 10], [200, 60]).meanPower // => 1700
 */
export function waveformPower(voltage: readonly number[], current: readonly number[]): WaveformPower {
  requireThat(
    voltage.length > 0 && voltage.length === current.length,
    `waveform: voltage and current must be sampled together, got ${voltage.length} voltages and ${current.length} currents`,
  );
  const n = voltage.length;
  let [power, u, i, uu, ii] = [0, 0, 0, 0, 0];
  for (let k = 0; k < n; k++) {
    const uk = requireNumber(`voltage sample ${k + 1}`, voltage[k]!, { unit: "V" });
    const ik = requireNumber(`current sample ${k + 1}`, current[k]!, { unit: "A" });
    power += uk * ik;
    u += uk;
    i += ik;
    uu += uk * uk;
    ii += ik * ik;
  }
  const meanPower = power / n;
  const [rmsVoltage, rmsCurrent] = [Math.sqrt(uu / n), Math.sqrt(ii / n)];
  return {
    meanPower,
    meanVoltage: u / n,
    meanCurrent: i / n,
    rmsVoltage,
    rmsCurrent,
    meanProductError: meanPower === 0 ? 0 : ((u / n) * (i / n)) / meanPower - 1,
    rmsProductError: meanPower === 0 ? 0 : (rmsVoltage * rmsCurrent) / meanPower - 1,
  };
}

/**
 * Arc energy from mean instantaneous power, IP / v, J/mm.
 *
 * @param meanPower - IP, W
 * @param travelSpeed - v, mm/s
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @source ISO/TR 18491; ASME IX QW-409.1(c)
 * @example waveformArcEnergy(1480, 3) // => 493.333
 */
export function waveformArcEnergy(meanPower: number, travelSpeed: number): number {
  requireNumber("mean arc power", meanPower, { min: 0, unit: "W" });
  return meanPower / requireSetting("travel_speed", travelSpeed);
}

/**
 * Whether sampling was fast enough and long enough for an arc of this period.
 *
 * @param sampleInterval - s between samples
 * @param samples - how many
 * @param period - s of one pulse or cycle
 * @throws {BeadbenchError} `bad-argument` for a number outside its bounds, naming them
 * @example checkSampling(2e-3, 50, 0.01).map(({ code }) => code) // => ["sampling-too-slow"]
 */
export function checkSampling(sampleInterval: number, samples: number, period: number): readonly Finding[] {
  requireNumber("sample interval", sampleInterval, { above: 0, unit: "s" });
  requireNumber("pulse period", period, { above: 0, unit: "s" });
  const findings: Finding[] = [];
  const perPeriod = period / sampleInterval;
  if (perPeriod < 20) {
    findings.push({
      code: "sampling-too-slow",
      severity: "warning",
      message: `${fixed(perPeriod, 1)} samples per pulse cannot follow voltage and current`,
      advice: "sample at 10 kHz or so, both channels at the same instant",
    });
  }
  const periods = (samples * sampleInterval) / period;
  if (Math.abs(periods - Math.round(periods)) > 0.02 * periods) {
    findings.push({
      code: "sampling-broken-period",
      severity: "warning",
      message: `the record covers ${fixed(periods, 2)} pulses: a broken pulse biases the mean`,
      advice: "cut the record to whole pulses, or record fifty and more",
    });
  }
  return findings;
}
