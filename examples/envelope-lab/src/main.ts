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

const LINK_PAUSE_MS = 250;

async function start(): Promise<void> {
  const catalogue = await ask('catalogue', undefined);
  let settings: Settings = firstSettings;
  let drawn = settings; // what the pictures show
  let busy = false,
    stale = false,
    linkTimer: ReturnType<typeof setTimeout> | undefined;

  const view = new SettingsView(catalogue, (changes) => {
    settings = { ...settings, ...changes };
    void update();
  });
  const times = new TimeView();
  const player = listenControls((seconds) => times.follow(seconds));
  saveButtons(() => ({ settings: drawn, span: times.span }));

  const update = async (): Promise<void> => {
    // Browsers refuse a page that changes its address for every step of a slider.
    clearTimeout(linkTimer);
    linkTimer = setTimeout(() => history.replaceState(null, '', toHash(settings)), LINK_PAUSE_MS);
    stale = true;
    if (busy) return;
    busy = true;
    while (stale) {
      stale = false;
      status.textContent = 'Computing ...';
      const asked = settings;
      try {
        const shown = await ask('render', asked);
        drawn = asked;
        message.textContent = '';
        times.show(shown, asked.block);
        view.heard(shown);
        player.change(shown);
        const doubled = shown.doubled ? ', the one channel as left and as right' : '';
        status.textContent = `${sentence(spaced(asked.block))}: computed at ${shown.input.sampleRateHz / 1000} kHz${doubled}.`;
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
