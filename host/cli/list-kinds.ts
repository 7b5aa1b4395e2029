/** What `latchbench list` lists, in the order of its overview. */
export const LIST_KINDS = ['vectors', 'scenarios', 'machines', 'catalogues', 'parameters', 'signals', 'metrics', 'faults'] as const;
export type ListKind = (typeof LIST_KINDS)[number];
