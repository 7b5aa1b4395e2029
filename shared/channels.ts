/**
 * The analog channels, ratiometric: converter and sensors share one supply. Those of a row come first; a channel's number is
 * its place in this list. Input, fault bits, settings and conversion of a channel all follow from its row here.
 */
export interface AnalogChannel {
  readonly name: string;
  readonly scope: 'bank' | 'row';
  /** Field of BankInput or RowInput that holds its ADC counts. */
  readonly input: string;
  /** Parameters: the values at 10 % and at 90 % of the sensor supply, and the fastest plausible change. */
  readonly atTenPercent: string;
  readonly atNinetyPercent: string;
  readonly rate: string;
  /** For people. */
  readonly label: string;
}

export const CHANNELS = [
  {
    name: 'load',
    scope: 'row',
    input: 'loadCounts',
    atTenPercent: 'loadAtTenPercentN',
    atNinetyPercent: 'loadAtNinetyPercentN',
    rate: 'loadRateNPerMs',
    label: 'Gauge-wheel load',
  },
  {
    name: 'pressure',
    scope: 'row',
    input: 'pressureCounts',
    atTenPercent: 'pressureAtTenPercentKpa',
    atNinetyPercent: 'pressureAtNinetyPercentKpa',
    rate: 'pressureRateKpaPerMs',
    label: 'Chamber pressure',
  },
  {
    name: 'acceleration',
    scope: 'row',
    input: 'accelerationCounts',
    atTenPercent: 'accelerationAtTenPercentMps2',
    atNinetyPercent: 'accelerationAtNinetyPercentMps2',
    rate: 'accelerationRateMps2PerMs',
    label: 'Row accelerometer',
  },
  {
    name: 'rail',
    scope: 'bank',
    input: 'railCounts',
    atTenPercent: 'railAtTenPercentKpa',
    atNinetyPercent: 'railAtNinetyPercentKpa',
    rate: 'railRateKpaPerMs',
    label: 'Rail pressure',
  },
] as const satisfies readonly AnalogChannel[];
