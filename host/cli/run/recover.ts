import { recoverRecording } from '../../recording/recover.js';
import { counted } from '../../report/form/text-table.js';
import { command } from '../context.js';

interface Flags {
  readonly output: string;
  readonly json?: boolean;
}

export default command<Flags, [string]>((_job, { output }, damaged) => {
  const recovery = recoverRecording(damaged, output);
  const { recovered, lostAtLeast, damage } = recovery;
  const lost = lostAtLeast === undefined ? 'an unknown number lost' : `${counted(lostAtLeast, 'message')} lost`;
  const found = damage === undefined ? 'no damage found' : `${damage.reason} at byte ${damage.atByte}`;
  const text = `${output}: ${counted(recovered, 'message')} recovered, ${lost}; ${found}\n`;
  return { text, json: { file: output, ...recovery }, holds: true };
});
