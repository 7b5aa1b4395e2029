import { CHECKS as OWN_CHECKS, FAULTS as OWN_FAULTS } from '../../shared/faults.js';
import { PARAMETERS as OWN_PARAMETERS, RULES as OWN_RULES } from '../../shared/parameters.js';
import { ENUMS as OWN_ENUMS, RECORDS as OWN_RECORDS } from '../../shared/records.js';
import { type ContractTables, projectTables } from './tables-in-force.js';

const OWN: ContractTables = {
  PARAMETERS: OWN_PARAMETERS,
  RULES: OWN_RULES,
  FAULTS: OWN_FAULTS,
  CHECKS: OWN_CHECKS,
  RECORDS: OWN_RECORDS,
  ENUMS: OWN_ENUMS,
};

/** The tables in force: those of the project, or those that this program comes with. */
export const { PARAMETERS, RULES, FAULTS, CHECKS, RECORDS, ENUMS } = projectTables()?.tables ?? OWN;
