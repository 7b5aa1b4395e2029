import binaryen from 'binaryen';
import { describe, expect, it } from 'vitest';
import { readControllerSources } from '../../host/build/controller.js';
import { removeItems } from '../../host/review/shrink/minimise.js';
import { align } from '../../host/review/trace/align.js';
import { readBinary } from '../../host/review/trace/binary.js';
import { instrument } from '../../host/review/trace/instrument.js';
import { buildTraced } from '../../host/review/trace/traced-build.js';
import { PROJECT } from '../support/project.js';

describe('delta debugging', () => {
  // Zeller, Hildebrandt, "Simplifying and Isolating Failure-Inducing Input", IEEE TSE 28(2), 2002, the example of eight changes of
  // which 1, 7 and 8 together fail (numbers from memory).
  it('finds changes 1, 7 and 8 of eight', () => {
    const tried: string[] = [];
    const fails = (kept: readonly number[]): boolean => {
      tried.push(kept.join(''));
      return [1, 7, 8].every((one) => kept.includes(one));
    };
    expect(removeItems([1, 2, 3, 4, 5, 6, 7, 8], fails)).toEqual([1, 7, 8]);
    // The same section: the worst case is |c|² + 3|c| tests.
    expect(tried.length).toBeLessThanOrEqual(8 * 8 + 3 * 8);
  });

  // The same paper's second example: a list of characters of which "<SELECT>" makes a browser fail (from memory).
  it('reduces a page to the tag that fails', () => {
    const page = '<SELECT NAME="priority" MULTIPLE SIZE=7>';
    expect(removeItems([...page], (kept) => /<SELECT[^<>]*>/.test(kept.join(''))).join('')).toBe('<SELECT>');
  });
});

describe('the longest common subsequence', () => {
  // Myers, "An O(ND) Difference Algorithm and Its Variations", Algorithmica 1 (1986) 251-266, figure 1: ABCABBA to CBABAC takes
  // five edits, and the longest common subsequence has four letters.
  it("has four letters in the paper's example", () => {
    const [base, head] = [[...'ABCABBA'], [...'CBABAC']];
    const pairs = align(base, head).filter(([at, other]) => at !== undefined && other !== undefined);
    expect(pairs).toHaveLength(4);
    for (const [at, other] of pairs) expect(base[at ?? -1]).toBe(head[other ?? -1]);
  });
});

describe('the instrumented controller', () => {
  it('is valid WebAssembly 1.0 to an independent validator', async () => {
    const { binary } = await buildTraced(readControllerSources(PROJECT.root));
    const module = binaryen.readBinary(instrument(binary).bytes);
    module.setFeatures(binaryen.Features.MVP);
    expect(module.validate()).toBe(1);
    expect(module.getNumFunctions()).toBeGreaterThan(binary.functions.length);
    module.dispose();
  });

  it('is parsed as by an independent reader', async () => {
    const { binary } = await buildTraced(readControllerSources(PROJECT.root));
    const again = readBinary(binary.bytes);
    const module = binaryen.readBinary(binary.bytes);
    expect(again.functions).toHaveLength(module.getNumFunctions());
    expect(again.globals).toHaveLength(module.getNumGlobals());
    for (const [index, { name, type }] of again.functions.entries()) {
      const info = binaryen.getFunctionInfo(module.getFunctionByIndex(index));
      expect(info.name).toBe(name);
      const params = [...binaryen.expandType(info.params)].map(
        (one) => ({ [binaryen.i32]: 'i32', [binaryen.i64]: 'i64', [binaryen.f32]: 'f32', [binaryen.f64]: 'f64' })[one],
      );
      expect(params).toEqual(again.types[type]?.params);
    }
    module.dispose();
  });
});
