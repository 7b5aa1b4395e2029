/** The part of npm `odex` 2.0.4 that the tests use, in place of the source that it brings (tests/tsconfig.json, `paths`). */
export class Solver {
  constructor(n: number);
  absoluteTolerance: number | number[];
  relativeTolerance: number | number[];
  initialStepSize: number;
  maxSteps: number;
  solve(f: (x: number, y: number[]) => number[], x: number, y: number[], xEnd: number): { y: number[]; outcome: number; nEval: number };
}
declare const odex: { Solver: typeof Solver };
export default odex;
