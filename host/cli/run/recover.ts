import { recoverRecording } from '../../recording/recover.js';
import { counted } from '../../report/form/text-table.js';
import { command } from '../context.js';

interface Flags {
  readonly output: string;
  readonly json?: boolean;
}

export default command<Flags, [string]>((_job, { output }, damaged) => {
  const recovery = recoverRecording(damaged, output);
  const { recovered, lost, damage } = recovery;
  const loss = lost === undefined ? 'an unknown number lost' : `${counted(lost, 'message')} lost`;
  const found = damage === undefined ? 'no damage found' : `${damage.reason} at byte ${damage.atByte}`;
  const text = `${output}: ${counted(recovered, 'message')} recovered, ${loss}; ${found}\n`;
  return { text, json: { file: output, ...recovery }, passed: true };
});
