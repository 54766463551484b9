type Defined<T> = { [K in keyof T as undefined extends T[K] ? never : K]: T[K] } & {
  [K in keyof T as undefined extends T[K] ? K : never]?: Exclude<T[K], undefined>;
};

/**
 * An object without the keys whose value is undefined: what is left out is an absent key everywhere in the library.
 *
 * @example onlyDefined({ level: 0.95, seed: undefined }) // => { level: 0.95 }
 */
export function onlyDefined<const T extends object>(values: T): Defined<T> {
  return Object.fromEntries(Object.entries(values).filter(([, value]) => value !== undefined)) as Defined<T>;
}
