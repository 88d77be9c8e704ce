import { openStore } from '../../collector-service/store/sqlite-store.ts';
import { temporaryFolder } from './folders.ts';
import { storePromise } from './promise.ts';

storePromise('the store on SQLite', async () => {
  const { folder, remove } = temporaryFolder();
  const handles = [openStore(folder)];
  const reopen = async () => handles[handles.push(openStore(folder)) - 1]!;
  return {
    store: handles[0]!,
    reopen,
    end: () => Promise.all(handles.map((h) => h.close())).then(remove),
  };
});
