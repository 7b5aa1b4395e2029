import type { Change } from '../../host/replay/change.js';

/** Changes written as `tick row signal value`, row 0 for the bank. */
export const parseChanges = (...texts: string[]): Change[] =>
  texts.map((text) => {
    const [tick = '', row = '', signal = '', value = ''] = text.split(' ');
    return { tick: Number(tick), row: Number(row), signal, value };
  });
