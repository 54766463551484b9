export * from "./growth/index.js";
export * from "./rates/index.js";
