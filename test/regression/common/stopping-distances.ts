/** Speeds of 50 cars, mph, of which the distance to stop was measured: Ezekiel, Methods of Correlation Analysis (1930); R's `cars`. */
export const speed = [
  4, 4, 7, 7, 8, 9, 10, 10, 10, 11, 11, 12, 12, 12, 12, 13, 13, 13, 13, 14, 14, 14, 14, 15, 15, 15, 16, 16,
  17, 17, 17, 18, 18, 18, 18, 19, 19, 19, 20, 20, 20, 20, 20, 22, 23, 24, 24, 24, 24, 25,
];
/** ft, in the order of the speeds. */
export const distance = [
  2, 10, 4, 22, 16, 10, 18, 26, 34, 17, 28, 14, 20, 24, 28, 26, 34, 34, 46, 26, 36, 60, 80, 20, 26, 54, 32,
  40, 32, 40, 50, 42, 56, 76, 84, 36, 46, 68, 32, 48, 52, 56, 64, 66, 54, 70, 92, 93, 120, 85,
];
/** A line of distance over speed: a constant and the speed. */
export const rows = speed.map((v) => [1, v]);
