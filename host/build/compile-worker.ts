import { workerTask } from '../common/worker-task.js';
import { compileInMemory } from './compile-in-memory.js';

export default workerTask(compileInMemory);
