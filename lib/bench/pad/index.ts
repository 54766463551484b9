export {
  fieldText,
  fieldValue,
  isFar,
  isWhole,
  keyOf,
  type PadField,
  type PadKey,
  type PadRange,
  press,
} from "./keys.js";
