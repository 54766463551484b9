import fc from "fast-check";

/** One seed for all properties, so that a run repeats; change it by hand to try others. */
fc.configureGlobal({ seed: 20260105 });

export { fc };
