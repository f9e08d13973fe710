/**
 * A file of one's own, chosen or dropped anywhere on the page.
 * @module
 */
import { decodeFile } from './decode-file.ts';
import { byId } from './dom.ts';
import { ask } from './laboratory.ts';
import { describeFile, type OpenedFile } from './opened-file.ts';
import { looksLikeWav } from './wav-excerpt.ts';

/** Listens for files; `onOpened` is called once the worker has one. */
export function takeFiles(onOpened: () => void): void {
  const chooser = byId<HTMLInputElement>('file');
  const drop = byId('drop');
  const note = byId('file-note');
  let latest = 0;

  const take = async (file: File) => {
    const turn = ++latest;
    note.className = '';
    note.textContent = `Reading ${file.name} ...`;
    try {
      const text = describeFile(file.name, await open(file));
      if (turn !== latest) return;
      note.textContent = text;
      onOpened();
    } catch (error) {
      if (turn !== latest) return;
      note.className = 'fault';
      note.textContent = `${file.name} ${(error as Error).message}`;
    }
  };

  chooser.addEventListener('change', () => {
    const file = chooser.files?.[0];
    if (file) void take(file);
  });
  addEventListener('dragover', (event) => {
    event.preventDefault();
    drop.classList.add('over');
  });
  addEventListener('dragleave', () => drop.classList.remove('over'));
  addEventListener('drop', (event) => {
    event.preventDefault();
    drop.classList.remove('over');
    const file = event.dataTransfer?.files[0];
    if (file) void take(file);
  });
}

async function open(file: File): Promise<OpenedFile> {
  if (looksLikeWav(new Uint8Array(await file.slice(0, 12).arrayBuffer()))) {
    return ask('openWav', file).catch((error: unknown) => {
      throw new Error(`is no WAV file that can be read: ${(error as Error).message}`);
    });
  }
  const opened = await decodeFile(file);
  await ask('takeSound', opened.sound);
  return opened;
}
