export { type BenchOptions, type RunningBench, serveBench } from "./serve.js";
