/** Called from time to time with the share of a long task that is done, 0 to 1. */
export type OnProgress = (share: number) => void;
