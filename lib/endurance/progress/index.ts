export { type BuildProgress, buildProgress, plannedRunning, requireAttempt } from "./build-progress.js";
export { buildWalls } from "./build-walls.js";
export { type BuildReading, followedReadings } from "./readings.js";
export type { StandoffAhead } from "./standoff-ahead.js";
