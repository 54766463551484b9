export {
  type CalibrationDrift,
  type CalibrationLine,
  type CalibrationRecord,
  calibrationDrift,
  fitCalibration,
  settingFor,
  trueValue,
} from "./calibration.js";
