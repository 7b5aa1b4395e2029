import { projectAt, TOOL_ROOT } from '../../host/common/project.js';

/** This checkout. */
export const PROJECT = projectAt(TOOL_ROOT);
