export {
  fieldText,
  fieldValue,
  isFar,
  isWhole,
  keyOf,
  keysFor,
  type PadField,
  type PadKey,
  type PadRange,
  press,
} from "./keys.js";
