/** Who may import whom. One row for each folder; what is not listed is forbidden. Checked by tests/tidy.test.ts. */
const FLOOR = ['host/common/', 'shared/'];
const MAY_IMPORT = {
  'shared/': [],
  'host/common/': ['shared/'],
  'host/wasm/': [...FLOOR],
  'host/contract/(?!generate/)': ['host/(wasm|contract)/', ...FLOOR],
  'host/contract/generate/': ['host/(files|simulate|assess|contract)/', ...FLOOR],
  'host/files/': ['host/(rig|tune|vector|sizing|simulate|assess|machine|recording|contract)/', ...FLOOR],
  'host/build/': ['host/contract/', ...FLOOR],
  'host/runner/': ['host/(wasm|contract)/', ...FLOOR],
  'host/recording/': ['host/contract/', ...FLOOR],
  'host/machine/': ['host/contract/', ...FLOOR],
  'host/assess/': ['host/(recording|contract)/', ...FLOOR],
  'host/replay/': ['host/(runner|recording|contract)/', ...FLOOR],
  'host/simulate/': ['host/(assess|machine|runner|recording|contract|wasm)/', ...FLOOR],
  'host/vector/': ['host/(simulate|assess|replay|runner|recording|contract)/', ...FLOOR],
  'host/contest/': ['host/(simulate|assess|contract)/', ...FLOOR],
  'host/fit/': ['host/(assess|runner|recording|contract)/', ...FLOOR],
  'host/sizing/(?!search/)': ['host/(sizing|machine|contract)/', ...FLOOR],
  'host/sizing/search/': ['host/(sizing|simulate|machine|contract)/', ...FLOOR],
  'host/review/(?!trace/)': ['host/(review|wasm|build|simulate|assess|vector|replay|runner|recording|contract)/', ...FLOOR],
  'host/review/trace/': ['host/(build|contract|wasm)/', ...FLOOR],
  'host/chip/': ['host/(build|vector|replay|simulate|runner|recording|contract)/', ...FLOOR],
  'host/rig/': ['host/(chip|build|vector|replay|simulate|assess|machine|runner|recording|contract)/', ...FLOOR],
  'host/project/': ['host/(build|vector|simulate|sizing|machine|contract)/', ...FLOOR],
  'host/report/': [
    'host/(robustness|rig|chip|review|fit|contest|assess|simulate|machine|sizing|replay|vector|recording|contract)/',
    ...FLOOR,
  ],
  'host/bench/': ['host/'],
  'host/figures/': ['host/(contest|simulate|machine|assess|runner|report|contract)/', ...FLOOR],
  'host/robustness/': ['host/(figures|simulate|assess|sizing|runner|report|contract)/', ...FLOOR],
  'host/tune/': ['host/(simulate|machine|runner|report|contract)/', ...FLOOR],
  'host/cli/': ['host/(?!bench/|figures/|robustness/|tune/)', ...FLOOR],
  'assembly/controller/': [],
  'assembly/fit/': ['assembly/controller/'],
  'assembly/plant/': [],
};

const folderRules = Object.entries(MAY_IMPORT).map(([folder, others]) => ({
  name: `${folder.replaceAll(/[^a-z]+/g, '-')}imports`,
  severity: 'error',
  from: { path: `^${folder}` },
  to: { path: '^(shared|host|assembly|tests)/', pathNot: [folder, ...others].map((path) => `^${path}`) },
}));

module.exports = {
  forbidden: [
    ...folderRules,
    { name: 'no-cycles', severity: 'error', from: {}, to: { circular: true } },
    { name: 'resolvable', severity: 'error', from: { path: '^(shared|host)/' }, to: { couldNotResolve: true, path: '^[.]' } },
  ],
  options: {
    doNotFollow: { path: 'node_modules' },
    tsPreCompilationDeps: true,
    tsConfig: { fileName: 'tsconfig.json' },
  },
};
