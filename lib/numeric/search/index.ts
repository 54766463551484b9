export { type MinimiseOptions, type MinimiseResult, minimiseBounded } from "./optimise.js";
