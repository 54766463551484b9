/** Version of the package, as its package.json says it. */
export const VERSION = "0.1.0";
