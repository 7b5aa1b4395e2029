/** The part of npm `fili` 2.0.3 that the tests use; it brings no types. */
declare module 'fili' {
  interface Section {
    readonly a: readonly [number, number];
    readonly b: readonly [number, number, number];
  }
  export class CalcCascades {
    lowpass(options: { order: number; characteristic: 'butterworth'; Fs: number; Fc: number }): Section[];
  }
  export class IirFilter {
    constructor(sections: Section[]);
    singleStep(value: number): number;
  }
  const fili: { CalcCascades: typeof CalcCascades; IirFilter: typeof IirFilter };
  export default fili;
}
