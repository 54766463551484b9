export { findRoot, minimiseScalar, type ScalarResult } from "./brent.js";
