/** The part of npm `jstat` 1.9.6 that is used here; the package has no types. */
declare module 'jstat' {
  const jStat: {
    /** Student's t distribution. */
    readonly studentt: {
      /** Quantile function. */
      inv(probability: number, degreesOfFreedom: number): number;
    };
  };
  export default jStat;
}
