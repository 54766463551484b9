export { type FormulaModel, formulaModel, formulaNames } from "./formula.js";
