import { METRICS, ROW_METRICS, type RowMetricName } from '../../assess/metrics.js';
import { InputError, showValue } from '../../common/input-error.js';

/** @throws InputError for a name that is not in a list */
function checkNames(names: readonly string[], allowed: readonly string[]): void {
  const unknown = names.find((name) => !allowed.includes(name));
  if (unknown !== undefined)
    throw new InputError({ file: '--metric', problem: `there is no metric ${showValue(unknown)}`, value: unknown, allowed });
}

/** Checks metrics that were chosen by name. @throws InputError that names the flag */
export function metricNames(names: readonly string[] | undefined, others: readonly string[] = []): readonly string[] | undefined {
  checkNames(names ?? [], [...METRICS.map(({ name }) => name), ...others]);
  return names;
}

/** The same of metrics of rows. */
export function rowMetricNames(names: readonly string[] | undefined): readonly RowMetricName[] | undefined {
  checkNames(
    names ?? [],
    ROW_METRICS.map(({ name }) => name),
  );
  return names as readonly RowMetricName[] | undefined;
}
