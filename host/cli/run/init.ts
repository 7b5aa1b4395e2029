import { relative, resolve } from 'node:path';
import { toolVersion } from '../../common/version.js';
import { initProject } from '../../project/init.js';
import { installedFrom, readPackageFile } from '../../project/package-file.js';
import { command } from '../context.js';

interface Flags {
  readonly title?: string;
  readonly package?: string;
  readonly json?: boolean;
}

export default command<Flags, [string]>(
  ({ cwd }, { title, package: named }, folder) => {
    const file = named ?? installedFrom();
    const packageFile = file === undefined ? undefined : readPackageFile(file);
    const files = initProject({ folder, title, packageFile });
    const path = relative(cwd, resolve(folder)) || '.';
    const origin =
      packageFile === undefined
        ? [
            `npm gets latchbench ${toolVersion()} by its version: without a registry that has it, remove the folder and pass --package FILE.`,
          ]
        : [];
    const text = [
      `${path}: ${files.length} files made. README.md says what is whose.`,
      ...origin,
      `Next: cd ${path} && npm ci && npm start`,
    ];
    return {
      text: `${text.join('\n')}\n`,
      json: { folder: path, version: toolVersion(), package: packageFile?.name, files },
      passed: true,
    };
  },
  { needsProject: false },
);
