import type { Parameter } from '../../../shared/parameters.js';
import { UNITS } from '../../../shared/units.js';
import type { Contract, ParameterValues } from '../../contract/contract.js';
import { textTable } from '../form/text-table.js';

const show = (parameter: Parameter, value: number): string => parameter.choices?.[value] ?? value.toFixed(parameter.decimals);

/** A limit may need more digits than a value: it is never shown rounded. */
const showLimit = (parameter: Parameter, value: number): string => {
  const text = value.toFixed(parameter.decimals);
  return Number(text) === value ? text : String(value);
};

/** A value from a file is shown with all its digits. */
const showSet = (parameter: Parameter, value: number): string => parameter.choices?.[value] ?? String(value);

const meaning = ({ help, choices }: Parameter): string =>
  choices === undefined ? help : `${help} (${choices.map((word, index) => `${index} ${word}`).join(', ')})`;

/** The parameters by group: all with their defaults, or those in `values` beside their defaults. */
export function parameterTable(contract: Contract, values?: ParameterValues): string {
  const listed = contract.parameters.filter((one) => values === undefined || one.name in values);
  const columns = [
    { title: 'group' },
    { title: 'parameter' },
    ...(values === undefined ? [] : [{ title: 'value', isNumber: true }]),
    { title: 'default', isNumber: true },
    { title: 'unit' },
    { title: 'min', isNumber: true },
    { title: 'max', isNumber: true },
    { title: 'meaning' },
  ];
  const rows = listed.map((one, index) => [
    listed[index - 1]?.group === one.group ? '' : one.group,
    one.name,
    ...(values === undefined ? [] : [showSet(one, values[one.name] ?? one.default)]),
    show(one, one.default),
    UNITS[one.unit].symbol,
    one.choices === undefined ? showLimit(one, one.min) : '',
    one.choices === undefined ? showLimit(one, one.max) : '',
    meaning(one),
  ]);
  return textTable(columns, rows);
}
