/** m/s2. */
export const standardGravity = 9.80665;
