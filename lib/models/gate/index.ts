export { allFailed } from "./all-failed.js";
export { correctionCommand } from "./correction-command.js";
export { type GateWarning, gate, gateText } from "./gate.js";
export { type NextStep, nextStep } from "./next-step.js";
