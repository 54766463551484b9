export { type FormulaModel, formulaModel } from "./formula.js";
