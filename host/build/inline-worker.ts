import { workerTask } from '../common/worker-task.js';
import { inlineCalls } from './inline-calls.js';

export default workerTask(inlineCalls);
