/**
 * Diameters wire is sold in, mm: metric sizes, and inch sizes as they are.
 *
 * @source nominal diameters of ISO 544 and AWS A5.02, from memory
 */
export const standardWireDiameters: readonly number[] = [
  0.6, 0.8, 0.9, 1, 1.2, 1.6, 2, 2.4, 3.2, 4, 0.5842, 0.762, 0.889, 1.143, 1.3208, 1.5875, 1.984375, 2.38125,
].sort((a, b) => a - b);
