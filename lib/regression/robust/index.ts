export { fitRobust, type Outlier, type RobustFit, type RobustOptions } from "./robust.js";
export { ROBUST_TUNING } from "./robust-psi.js";
