/** The part of npm `jstat` 1.9.6 that is used here; the package brings no types. */
declare module 'jstat' {
  const jStat: {
    /** Student's t with so many degrees of freedom. */
    readonly studentt: {
      /** Quantile of a probability. */
      inv(probability: number, degreesOfFreedom: number): number;
    };
  };
  export default jStat;
}
