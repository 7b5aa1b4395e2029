import { workerTask } from '../common/worker-task.js';
import { locateWhenNeeded } from './locate-when-needed.js';
import { type ReviewSide, type ReviewTask, reviewTask, type Sides } from './review-task.js';

/** A side arrives with every task, but what is derived from it, such as its traced build, is kept by the object. */
const known = new Map<string, ReviewSide>();

function remembered(side: ReviewSide): ReviewSide {
  const key = `${side.build.name} ${side.build.binaryHash} ${JSON.stringify(side.parameters)}`;
  const first = known.get(key) ?? side;
  known.set(key, first);
  return first;
}

export default workerTask((task: ReviewTask) => {
  const sides: Sides = { base: remembered(task.sides.base), head: remembered(task.sides.head) };
  return reviewTask({ ...task, sides }, locateWhenNeeded(sides));
});
