import { CholeskyDecomposition, EigenvalueDecomposition, Matrix } from 'ml-matrix';

/** Sums over samples for a linear regression without a constant; their size does not depend on the number of samples. */
export class NormalEquations {
  count = 0;
  #yy = 0;
  readonly #xy: Float64Array;
  /** Lower triangle, row by row. */
  readonly #xx: Float64Array;

  constructor(readonly size: number) {
    this.#xy = new Float64Array(size);
    this.#xx = new Float64Array((size * (size + 1)) / 2);
  }

  /** Adds a sample: features `x`, response `y`. */
  add(x: ArrayLike<number>, y: number): void {
    let at = 0;
    for (let i = 0; i < this.size; i++) {
      const xi = x[i] as number;
      this.#xy[i] = (this.#xy[i] as number) + xi * y;
      for (let j = 0; j <= i; j++, at++) this.#xx[at] = (this.#xx[at] as number) + xi * (x[j] as number);
    }
    this.#yy += y * y;
    this.count += 1;
  }

  /** Returns the sums over the samples of both. */
  plus(other: NormalEquations): NormalEquations {
    const both = new NormalEquations(this.size);
    both.count = this.count + other.count;
    both.#yy = this.#yy + other.#yy;
    both.#xy.set(this.#xy.map((value, at) => value + (other.#xy[at] as number)));
    both.#xx.set(this.#xx.map((value, at) => value + (other.#xx[at] as number)));
    return both;
  }

  /** XᵀX. */
  get products(): Matrix {
    const place = (i: number, j: number): number => (i * (i + 1)) / 2 + j;
    const rows = Array.from({ length: this.size }, (_, i) =>
      Array.from({ length: this.size }, (_, j) => this.#xx[place(Math.max(i, j), Math.min(i, j))] as number),
    );
    return new Matrix(rows);
  }

  /** Root mean square of each feature. */
  get rms(): number[] {
    return this.products.diagonal().map((square) => Math.sqrt(square / this.count));
  }

  /** Root mean square of the residual that weights leave. */
  rmsError(weights: readonly number[]): number {
    const w = Matrix.columnVector([...weights]);
    const explained = 2 * this.#xy.reduce((sum, value, at) => sum + value * (weights[at] as number), 0);
    const squares = this.#yy - explained + w.transpose().mmul(this.products).mmul(w).get(0, 0);
    return Math.sqrt(Math.max(0, squares) / this.count);
  }

  /**
   * Weights by ridge regression (Hoerl, Kennard 1970, Technometrics 12(1):55-67), each feature's penalty a share of its mean
   * square: (XᵀX + share·diag XᵀX)·w = Xᵀy.
   */
  ridgeWeights(share: number): number[] {
    const penalized = this.products;
    for (let i = 0; i < this.size; i++) penalized.set(i, i, penalized.get(i, i) * (1 + share));
    return new CholeskyDecomposition(penalized).solve(Matrix.columnVector(this.#xy)).to1DArray();
  }

  /**
   * The share that the noise of the samples calls for: s²/α² over the number of independent samples, where s² is the mean square of
   * the residual of least squares, and α the largest of its weights along the principal axes of the features, of unit mean square
   * each. Up to this penalty the mean square error of the weights is below that of least squares (Hoerl, Kennard 1970, theorem
   * 4.3 and section 5; from memory). A direction whose standard error is e·α moves by the fraction e² or less: the better it is
   * determined, the less it moves.
   * @param overlap number of samples that count as one independent sample
   */
  ridgeShare(overlap: number): number {
    const weights = this.ridgeWeights(0);
    const { rms } = this;
    const scaled = Matrix.columnVector(weights.map((weight, index) => weight * (rms[index] as number)));
    const alongAxes = this.#axes().eigenvectorMatrix.transpose().mmul(scaled).to1DArray();
    const largest = Math.max(...alongAxes.map(Math.abs));
    return (this.rmsError(weights) ** 2 * overlap) / (largest ** 2 * this.count);
  }

  /** Principal axes of the features' correlation (about zero, because the regression has no constant). */
  #axes(): EigenvalueDecomposition {
    const products = this.products;
    const scale = products.diagonal().map(Math.sqrt);
    return new EigenvalueDecomposition(products.divRowVector(scale).divColumnVector(scale), { assumeSymmetric: true });
  }

  /** Condition number of the features' correlation matrix. */
  get condition(): number {
    const { realEigenvalues } = this.#axes();
    const smallest = Math.min(...realEigenvalues);
    return smallest > 0 ? Math.max(...realEigenvalues) / smallest : Number.POSITIVE_INFINITY;
  }
}
