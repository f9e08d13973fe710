/**
 * What can be taken away: trace, pictures, link.
 * @module
 */
import { byId, make } from './dom.ts';
import type { Span } from './exports.ts';
import { ask } from './laboratory.ts';
import { type Settings, toHash } from './settings.ts';
import { sentence, spaced } from './words.ts';

/** @param now - settings and seen part at the time of a click */
export function saveButtons(now: () => { readonly settings: Settings; readonly span: Span }): void {
  const note = byId('save-note');
  const onClick = (id: string, act: () => Promise<string>) => {
    byId(id).addEventListener('click', () => {
      note.textContent = 'One moment ...';
      act().then(
        (text) => (note.textContent = text),
        (error: unknown) => (note.textContent = (error as Error).message),
      );
    });
  };
  onClick('csv', async () => {
    const { settings, span } = now();
    return save(`${settings.block}.csv`, 'text/csv', await ask('csv', span));
  });
  onClick('svg', async () => {
    const { settings, span } = now();
    const description = toHash(settings).slice(1).replaceAll('&', ', ');
    const caption = { heading: sentence(spaced(settings.block)), description };
    return save(`${settings.block}.svg`, 'image/svg+xml', await ask('svg', { caption, span }));
  });
  onClick('link', async () => {
    const { settings } = now();
    const link = new URL(toHash(settings), location.href).href;
    const file = settings.source === 'file' ? ' It does not carry your file: whoever follows it chooses one.' : '';
    try {
      await navigator.clipboard.writeText(link);
      return `Copied.${file}`;
    } catch {
      return `The browser does not let this page copy. The link is ${link}${file}`;
    }
  });
}

function save(name: string, type: string, text: string): string {
  const url = URL.createObjectURL(new Blob([text], { type }));
  make('a', { href: url, download: name }).click();
  // The browser has taken it by then.
  setTimeout(() => URL.revokeObjectURL(url), 10_000);
  return `${name} is saved where your browser keeps downloads.`;
}
