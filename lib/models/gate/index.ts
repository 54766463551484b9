export { type GateWarning, gate, gateText } from "./gate.js";
