export { convert, convertDifference, findUnit, isUnit, sameDimension, unitsLike } from "./convert.js";
export type { UnitDefinition } from "./table.js";
