import { requireOwnProject } from '../../project/build.js';
import { STATES, type State, type Upgrade, upgradeProject } from '../../project/upgrade.js';
import { command } from '../context.js';

/** Files of each state under what it means. */
function fileLines({ changes }: Upgrade): string[] {
  return (Object.keys(STATES) as State[]).flatMap((state) => {
    const paths = changes.flatMap((change) => (change.state === state ? [`  ${change.path}`] : []));
    return paths.length === 0 ? [] : [STATES[state], ...paths];
  });
}

function nextLine({ changes, written }: Upgrade, isWritten: boolean): string {
  if (!isWritten) return 'Nothing was changed. Commit your work, then run `npx latchbench upgrade --write`';
  const merges = written.some((path) => path.endsWith('.new'))
    ? 'Merge each file ending in .new into yours and remove it, then run'
    : 'Run';
  const removals = changes.some(({ state }) => state === 'remove') ? ' Remove the files listed for that.' : '';
  return `${merges} \`npm run build && npm test\`.${removals}`;
}

export default command<{ readonly write?: boolean; readonly json?: boolean }>(
  ({ project }, { write = false }) => {
    requireOwnProject(project);
    const upgrade = upgradeProject(project, write);
    const { from, to, changes } = upgrade;
    const isDone = changes.length === 0 && (from === to || write);
    const text = [`project from latchbench ${from}; ${to} is installed`, ...fileLines(upgrade)];
    const next = isDone ? 'Nothing to do.' : nextLine(upgrade, write);
    return { text: `${[...text, next].join('\n')}\n`, json: upgrade, passed: isDone || write };
  },
  { needsProject: false },
);
