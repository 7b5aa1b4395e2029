import { buildProject, requireOwnProject } from '../../project/build.js';
import { identifyBuild, readBuild } from '../../review/builds.js';
import { command } from '../context.js';

export default command<{ readonly json?: boolean }>(async ({ project, note }) => {
  requireOwnProject(project);
  const { written, compiled } = await buildProject(project, () => note('building dist/controller.wasm from assembly/controller'));
  if (compiled.messages !== '') note(compiled.messages.trimEnd());
  const controller = identifyBuild(readBuild('.', project.controllerWasm));
  const done = written.length === 0 ? 'generated files up to date' : written.map((path) => `${path} written`).join('\n');
  return {
    text: `${done}\ncontroller ${controller.version}, contract ${controller.contractHash}\n`,
    json: { written, controller },
    passed: true,
  };
});
