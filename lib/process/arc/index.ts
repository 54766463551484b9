export {
  arcEnergy,
  beamEnergy,
  conventionalVoltage,
  heatInput,
  netPower,
  nominalEfficiencies,
  physicalEfficiencies,
} from "./arc-energy.js";
export { type EyeShade, eyeShade } from "./eye-shade.js";
export { checkSampling, type WaveformPower, waveformArcEnergy, waveformPower } from "./waveform.js";
