export type { Assumption, ToldNumbers } from "./assumptions/index.js";
export * from "./build/index.js";
export * from "./control/index.js";
export * from "./growth/index.js";
export * from "./incidents/index.js";
export * from "./progress/index.js";
export * from "./rates/index.js";
export * from "./record/index.js";
export * from "./wall/index.js";
