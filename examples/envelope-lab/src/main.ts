/**
 * The page: what is chosen, and what follows from it.
 *
 *     controls, link, failures -> settings -> worker -> rendering -> pictures, figures, player
 *
 * One question at a time is with the worker; what changes meanwhile is asked afterwards, once.
 *
 * @module
 */
import { showAttackTimes } from './attack-view.ts';
import { byId } from './dom.ts';
import { failureCards } from './failures-view.ts';
import { takeFiles } from './file-intake.ts';
import { ask } from './laboratory.ts';
import { listenControls } from './listen-view.ts';
import { saveButtons } from './save-view.ts';
import { SettingsView } from './settings-view.ts';
import { firstSettings, fromHash, type Settings, toHash } from './settings.ts';
import { TimeView } from './time-view.ts';
import { sentence, spaced } from './words.ts';

const message = byId('message');
const status = byId('status');

async function start(): Promise<void> {
  const catalogue = await ask('catalogue', undefined);
  let settings: Settings = firstSettings;
  let busy = false,
    stale = false;

  const view = new SettingsView(catalogue, (changes) => {
    settings = { ...settings, ...changes };
    void update();
  });
  const times = new TimeView();
  const player = listenControls((seconds) => times.follow(seconds));
  saveButtons(() => ({ settings, span: times.span }));

  const update = async (): Promise<void> => {
    history.replaceState(null, '', toHash(settings));
    stale = true;
    if (busy) return;
    busy = true;
    while (stale) {
      stale = false;
      status.textContent = 'Computing ...';
      try {
        const shown = await ask('render', settings);
        message.textContent = '';
        times.show(shown, settings.block);
        view.heard(shown);
        player.change(shown);
        status.textContent = `${sentence(spaced(settings.block))}: computed at ${shown.input.sampleRateHz / 1000} kHz.`;
      } catch (error) {
        message.textContent = (error as Error).message;
        status.textContent = 'The pictures show the settings before.';
      }
    }
    busy = false;
  };

  const show = (next: Settings) => {
    settings = next;
    view.show(settings);
    void update();
  };
  const follow = () => {
    const { settings: linked, faults } =
      location.hash === '' ? { settings: firstSettings, faults: [] } : fromHash(location.hash, catalogue.tables);
    show(linked);
    byId('link-faults').textContent =
      faults.length === 0 ? '' : `The link was not followed in all: ${faults.join('; ')}.`;
  };

  addEventListener('hashchange', follow);
  takeFiles(() => show({ ...settings, source: 'file' }));
  byId('failures').append(
    ...failureCards(catalogue.failures, (failure) => {
      show(failure);
      byId('pictures').scrollIntoView();
    }),
  );
  showAttackTimes(byId('attack'));
  follow();
}

start().catch((error: unknown) => {
  message.textContent = (error as Error).message;
  status.textContent = '';
});
