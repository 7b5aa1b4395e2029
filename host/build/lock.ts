import { readFileSync, writeFileSync } from 'node:fs';
import { join } from 'node:path';
import { TOOL_ROOT } from '../common/project.js';

/** An entry of package-lock.json. */
type LockedPackage = Readonly<Record<string, unknown>>;
export type LockedPackages = Readonly<Record<string, LockedPackage>>;

/** npm leaves package-lock.json out of a package: what it says about packages that run is kept under this name. */
const SHIPPED = join(TOOL_ROOT, 'dist', 'dependencies.json');

/** Writes which packages this program runs with, so that a new project gets the same ones. */
export function writeDependencies(): void {
  const { packages } = JSON.parse(readFileSync(join(TOOL_ROOT, 'package-lock.json'), 'utf8')) as { packages: LockedPackages };
  const run = Object.entries(packages).filter(([path, { dev, devOptional }]) => path !== '' && dev !== true && devOptional !== true);
  const { version, license, dependencies, bin, engines } = packages[''] ?? {};
  writeFileSync(
    SHIPPED,
    JSON.stringify({ ...Object.fromEntries(run), 'node_modules/latchbench': { version, license, dependencies, bin, engines } }),
  );
}

/** This program and the packages that it runs with, as package-lock.json has them. */
export const readDependencies = (): LockedPackages => JSON.parse(readFileSync(SHIPPED, 'utf8')) as LockedPackages;
