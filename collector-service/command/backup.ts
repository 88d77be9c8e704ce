import { readSettings } from '../settings.ts';
import { copyStore } from '../store/backup.ts';
import { writeWhole } from '../whole-file.ts';
import { type Command, callInvalid, parsed } from './command.ts';

export const backup: Command = {
  name: 'backup',
  usage: 'FILE',
  summary: 'copies the store into a file, also while the service runs; secrets are in it',
  async run(args, io) {
    const { positionals } = parsed(backup, { args, allowPositionals: true });
    const [file, ...others] = positionals;
    if (file === undefined || others.length > 0)
      throw callInvalid(backup, 'name one file to write');
    const { data } = readSettings(io.env);
    io.progress('Copying the store …');
    await writeWhole(file, async (draft) => copyStore(data, draft));
    io.progress('');
    io.note(`${file} holds the whole store, secrets too: keep it where nobody else can read it.`);
  },
};
