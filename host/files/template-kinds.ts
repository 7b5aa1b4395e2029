/** Kinds of files that start from a template; a vector is made of a recording by `latchbench add`. */
export const TEMPLATE_KINDS = ['scenario', 'machine', 'catalogue', 'parameters', 'map', 'tuning', 'rig'] as const;
export type TemplateKind = (typeof TEMPLATE_KINDS)[number];
