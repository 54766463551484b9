export { agreementFindings, compareModels, type ModelComparison } from "./compare-models.js";
