export { type Explored, exploreAround, findPeak, type Peak, resample } from "./importance.js";
