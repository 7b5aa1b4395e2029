/** Who may import whom. One row for each folder; what is not listed is forbidden. Checked by tests/tidy.test.ts. */
const FLOOR = ['host/project', 'shared/'];
const MAY_IMPORT = {
  'shared/': [],
  'host/files/': FLOOR,
  'host/contract/': ['host/files/', ...FLOOR],
  'host/target/': ['host/contract/', 'host/files/', ...FLOOR],
  'host/recording/': ['host/contract/', 'host/files/', ...FLOOR],
  'host/vector/': [
    'host/simulate/',
    'host/assess/',
    'host/replay/',
    'host/target/',
    'host/recording/',
    'host/contract/',
    'host/files/',
    ...FLOOR,
  ],
  'host/replay/': ['host/target/', 'host/recording/', 'host/contract/', 'host/files/', ...FLOOR],
  'host/assess/': ['host/recording/', 'host/contract/', 'host/files/', ...FLOOR],
  'host/simulate/': ['host/assess/', 'host/target/', 'host/recording/', 'host/contract/', 'host/files/', ...FLOOR],
  'host/contest/': ['host/simulate/', 'host/assess/', 'host/contract/', 'host/files/', ...FLOOR],
  'host/fit/': ['host/assess/', 'host/target/', 'host/recording/', 'host/contract/', 'host/files/', ...FLOOR],
  'host/trace/': ['host/build/', 'host/contract/', ...FLOOR],
  'host/sizing/': ['host/simulate/', ...FLOOR],
  'host/search/': ['host/sizing/', 'host/simulate/', 'host/contract/', 'host/files/', ...FLOOR],
  'host/review/': ['host/(build|trace|simulate|assess|vector|replay|target|recording|contract|files)/', ...FLOOR],
  'host/chip/': ['host/(build|vector|replay|simulate|target|recording|contract|files)/', ...FLOOR],
  'host/report/': [
    'host/chip/',
    'host/review/',
    'host/fit/',
    'host/contest/',
    'host/assess/',
    'host/simulate/',
    'host/sizing/',
    'host/search/',
    'host/replay/',
    'host/vector/',
    'host/recording/',
    'host/contract/',
    ...FLOOR,
  ],
  'host/bench/': ['host/'],
  'host/figures/': ['host/(contest|simulate|assess|target|report|contract|files)/', ...FLOOR],
  'host/build/': ['host/contract/', ...FLOOR],
  'host/cli/': [
    'host/(build|chip|files|contract|target|recording|vector|replay|report|assess|simulate|sizing|search|contest|fit|review)/',
    ...FLOOR,
  ],
  'assembly/controller/': [],
  'assembly/plant/': [],
};

const folderRules = Object.entries(MAY_IMPORT).map(([folder, others]) => ({
  name: `${folder.replaceAll('/', '-')}imports`,
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
