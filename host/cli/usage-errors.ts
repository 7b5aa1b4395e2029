import { type ApplicationText, formatMessageForArgumentScannerError, text_en } from '@stricli/core';
import { InputError, showValue } from '../common/input-error.js';

const WORD_LENGTH_MAX = 70;
const show = (value: string): string => (/^\S+$/.test(value) && value.length <= WORD_LENGTH_MAX ? value : showValue(value));
const suggest = (names: readonly string[]): string => (names.length === 0 ? '' : `; did you mean ${names.join(' or ')}?`);

/** What a person got wrong on the command line, as a sentence. @param last word of the command line */
const usageError = (error: unknown, last = ''): string =>
  formatMessageForArgumentScannerError(error as Parameters<typeof formatMessageForArgumentScannerError>[0], {
    FlagNotFoundError: ({ input, corrections }) => `unknown flag --${input}${suggest(corrections.map((name) => `--${name}`)) || '.'}`,
    AliasNotFoundError: ({ input }) => `unknown flag -${input}.`,
    ArgumentParseError: ({ externalFlagNameOrPlaceholder: name, input, exception }) => {
      if (exception instanceof InputError) return exception.message;
      return `--${name} is ${show(input)}; ${exception instanceof Error ? exception.message : String(exception)}.`;
    },
    EnumValidationError: ({ externalFlagName: name, input, values }) =>
      `--${name} is ${show(input)}; it must be one of ${values.join(', ')}.`,
    UnsatisfiedFlagError: ({ externalFlagName: name, nextFlagName: next }) =>
      next !== undefined
        ? `--${name} needs a value, but is followed by --${next}.`
        : last.startsWith('-')
          ? `${last} needs a value.`
          : `--${name} is required.`,
    UnexpectedPositionalError: ({ input, expectedCount }) => `unexpected argument ${show(input)}; at most ${expectedCount} can be given.`,
    UnsatisfiedPositionalError: ({ placeholder }) => `the argument <${placeholder}> is missing.`,
    UnexpectedFlagError: ({ externalFlagName: name, input }) => `--${name} is given more than once, again with ${show(input)}.`,
  });

/**
 * Texts of the command-line framework, with errors of usage in this program's form.
 * @param onError called with each of them
 * @param last word of the command line
 */
export const usageTexts = (onError: (message: string) => void, last?: string): ApplicationText => ({
  ...text_en,
  noCommandRegisteredForInput: ({ input, corrections }) => {
    const message = `unknown command ${show(input)}${suggest(corrections.map((name) => name.replaceAll('`', ''))) || '.'}`;
    onError(message);
    return message;
  },
  exceptionWhileParsingArguments: (error) => {
    const message = usageError(error, last);
    onError(message);
    return message;
  },
});
