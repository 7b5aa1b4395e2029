/** A rule that the project breaks on purpose: it shows that the check sees imports at all. */
module.exports = {
  forbidden: [
    { name: 'broken-on-purpose', severity: 'error', from: { path: '^host/replay/replay.ts' }, to: { path: '^host/replay/change.ts' } },
  ],
  options: { doNotFollow: { path: 'node_modules' }, tsPreCompilationDeps: true },
};
