export { fitRobust, type Outlier, type RobustFit, type RobustOptions } from "./robust.js";
