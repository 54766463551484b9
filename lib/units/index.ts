export {
  convert,
  convertDifference,
  findUnit,
  isUnit,
  sameDimension,
  unitExamples,
  unitsLike,
} from "./convert.js";
export { headed, shownUnit, withUnit } from "./label.js";
export {
  formatQuantity,
  kindFault,
  parseIn,
  parseQuantity,
  type Quantity,
  type QuantityPlace,
  readQuantities,
  readQuantity,
} from "./parse.js";
export type { UnitDefinition } from "./table.js";
