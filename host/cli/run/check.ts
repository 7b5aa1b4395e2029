import { requireOwnProject } from '../../project/build.js';
import { checkProject } from '../../project/check.js';
import { command } from '../context.js';

export default command<{ readonly json?: boolean }>(({ project }) => {
  requireOwnProject(project);
  const files = checkProject(project);
  // A file that others name is the problem of each of them.
  const problems = [...new Set(files.flatMap(({ problem = [] }) => problem))];
  const text = [...problems, `${files.length} files checked, ${problems.length} with errors`];
  return { text: `${text.join('\n')}\n`, json: { files }, passed: problems.length === 0 };
});
