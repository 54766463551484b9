/** Gives the present moment; injected wherever an entry is stamped. */
export type Clock = () => Date;

/** The computer's clock. The one place in the library that reads it. */
export const systemClock: Clock = () => new Date();
