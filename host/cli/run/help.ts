import { InputError } from '../../common/input-error.js';
import { type Context, command } from '../context.js';

interface Flags {
  readonly json?: boolean;
}

/** The help comes from the application that runs this command, so this needs the whole context. */
export default function help(this: Context, flags: Flags, ...words: string[]): Promise<void> {
  const { helpOf } = this;
  const show = command<Flags, string[]>(async (_job, _flags, ...of) => {
    const found = await helpOf(of);
    if ('text' in found) return { text: found.text, json: { command: of.join(' '), help: found.text }, passed: true };
    throw new InputError({ file: 'help', problem: `unknown command ${found.unknown}`, value: found.unknown, allowed: found.known });
  });
  return show.call(this, flags, ...words);
}
