export { findRoot, minimiseScalar, type ScalarResult, scaleUntil } from "./brent.js";
