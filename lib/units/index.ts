export { convert, convertDifference, findUnit, isUnit, sameDimension, unitsLike } from "./convert.js";
export { headed, withUnit } from "./label.js";
export { formatQuantity, parseIn, parseQuantity, type Quantity } from "./parse.js";
export type { UnitDefinition } from "./table.js";
