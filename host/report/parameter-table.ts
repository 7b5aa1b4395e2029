import type { Parameter } from '../../shared/parameters.js';
import { UNITS } from '../../shared/units.js';
import type { Contract, ParameterValues } from '../contract/contract.js';
import { textTable } from './text-table.js';

function show(parameter: Parameter, value: number): string {
  return parameter.choices?.[value] ?? value.toFixed(parameter.decimals);
}

/** The parameters by group; with values, only those that they set, and the default beside. */
export function parameterTable(contract: Contract, values: ParameterValues): string {
  const names = Object.keys(values);
  const isAll = names.length === 0;
  const listed = contract.parameters.filter((one) => isAll || names.includes(one.name));
  const columns = [
    { title: 'group' },
    { title: 'parameter' },
    { title: isAll ? 'default' : 'value', isNumber: true },
    ...(isAll ? [] : [{ title: 'default', isNumber: true }]),
    { title: 'unit' },
    { title: 'from', isNumber: true },
    { title: 'to', isNumber: true },
    { title: 'meaning' },
  ];
  const rows = listed.map((one, index) => [
    listed[index - 1]?.group === one.group ? '' : one.group,
    one.name,
    ...(isAll ? [] : [show(one, values[one.name] ?? one.default)]),
    show(one, one.default),
    UNITS[one.unit].symbol,
    show(one, one.min),
    show(one, one.max),
    one.help,
  ]);
  return textTable(columns, rows);
}
