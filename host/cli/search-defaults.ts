/** Defaults of the flags of `size --search`. */
export const SEARCH_DEFAULTS = { seed: 1, tries: 10_000, finalists: 5, runs: 2 } as const;
