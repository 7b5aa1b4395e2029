import { cpSync, mkdirSync, readFileSync, symlinkSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { TOOL_ROOT } from '../common/project.js';
import { vectorNames } from '../vector/vector.js';
import { PROJECT } from './inputs.js';

const VECTORS = 10;
/** What a checkout needs to build the controller, to replay and to compare. */
const NEEDED = ['package.json', 'tsconfig.json', 'asconfig.json', 'assembly/controller', 'shared', 'host', 'dist/host', 'dist/shared'];

/** A copy of the project with ten vectors, whose controller can be edited. */
export class ProjectCopy {
  readonly root: string;
  readonly cases = vectorNames(PROJECT).slice(0, VECTORS);
  readonly cli: string;
  private readonly edited: string;
  private readonly source: string;
  private edits = 0;

  constructor(folder: string) {
    this.root = join(folder, 'project');
    mkdirSync(this.root);
    for (const path of NEEDED) cpSync(join(TOOL_ROOT, path), join(this.root, path), { recursive: true });
    for (const name of this.cases) cpSync(join(PROJECT.vectors, name), join(this.root, 'vectors', 'cases', name), { recursive: true });
    symlinkSync(join(TOOL_ROOT, 'node_modules'), join(this.root, 'node_modules'));
    this.cli = join(this.root, 'dist', 'host', 'cli', 'main.js');
    this.edited = join(this.root, 'assembly', 'controller', 'bank.ts');
    this.source = readFileSync(this.edited, 'utf8');
  }

  /** Saves the controller with another value of a constant than ever before. */
  edit(): void {
    this.edits += 1;
    const text = this.source.replace('const WARM_C: f32 = 40;', `const WARM_C: f32 = ${40 + this.edits};`);
    if (text === this.source) throw new Error('bank.ts has no WARM_C to edit');
    writeFileSync(this.edited, text);
  }
}
