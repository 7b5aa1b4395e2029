import type { Parameter } from '../../../shared/parameters.js';
import { UNITS } from '../../../shared/units.js';
import type { Contract, ParameterValues } from '../../contract/contract.js';
import { textTable } from '../form/text-table.js';
import { converted, displayIn, type System } from '../form/units.js';

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

/** Significant digits of a converted value: enough for every limit. */
const DIGITS = 6;

/** A parameter in a system of units: the texts of its values, and the symbol. */
function parameterForm(parameter: Parameter, units: System) {
  const display = displayIn(units, parameter.unit);
  const inUnits = (value: number): string => parameter.choices?.[value] ?? String(Number(converted(value, display).toPrecision(DIGITS)));
  const isOwn = display.symbol === UNITS[parameter.unit].symbol;
  return {
    symbol: display.symbol,
    show: (value: number): string => (isOwn ? show(parameter, value) : inUnits(value)),
    limit: (value: number): string => (isOwn ? showLimit(parameter, value) : inUnits(value)),
    set: (value: number): string => (isOwn ? showSet(parameter, value) : inUnits(value)),
  };
}

/** The parameters by group: all with their defaults, or those in `values` beside their defaults. */
export function parameterTable(contract: Contract, values?: ParameterValues, units: System = 'si'): string {
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
  const rows = listed.map((one, index) => {
    const form = parameterForm(one, units);
    return [
      listed[index - 1]?.group === one.group ? '' : one.group,
      one.name,
      ...(values === undefined ? [] : [form.set(values[one.name] ?? one.default)]),
      form.show(one.default),
      form.symbol,
      one.choices === undefined ? form.limit(one.min) : '',
      one.choices === undefined ? form.limit(one.max) : '',
      meaning(one),
    ];
  });
  return textTable(columns, rows);
}
