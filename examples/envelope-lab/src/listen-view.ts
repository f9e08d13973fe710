/**
 * The controls of the player. Of all open pages of the lab, one plays at a time.
 * @module
 */
import { byId } from './dom.ts';
import { BLOCKED, Player, type SideName } from './player.ts';
import { figure } from './words.ts';
import type { Shown } from './workshop.ts';

/** What the page tells the player. */
export interface Listening {
  /** There is another rendering. */
  change(shown: Shown): void;
}

/** @param onPlace - is told the place in the sound, at every picture while it plays */
export function listenControls(onPlace: (seconds: number) => void): Listening {
  const player = new Player();
  const button = byId('play');
  const note = byId('player-note');
  const volume = byId<HTMLInputElement>('volume');
  const channel = new BroadcastChannel('batterhead-envelope-lab');
  let latest: Shown | undefined;

  const say = (text: string, fault = false) => {
    note.textContent = text;
    note.className = fault ? 'fault' : '';
  };
  const stop = (text: string) => {
    player.stop();
    button.textContent = 'Play';
    say(text);
  };
  const follow = () => {
    const seconds = player.seconds;
    if (seconds === undefined) return;
    onPlace(seconds);
    requestAnimationFrame(follow);
  };
  const play = async () => {
    if (!latest) return;
    button.textContent = 'Stop';
    say('Waiting for the browser ...');
    try {
      await player.play(latest);
      // Somebody may have had enough while the browser made up its mind.
      if (button.textContent === 'Play') {
        player.stop();
        return;
      }
      channel.postMessage('playing');
      say('Playing in a loop, faded in.');
      follow();
    } catch (error) {
      stop('');
      say(error instanceof DOMException ? BLOCKED : (error as Error).message, true);
    }
  };

  button.addEventListener('click', () => {
    if (button.textContent === 'Play') void play();
    else stop('Stopped.');
  });
  channel.addEventListener('message', () => {
    if (player.playing) stop('Stopped, because another tab of this page plays now.');
  });
  for (const side of document.querySelectorAll<HTMLInputElement>('input[name=side]')) {
    side.addEventListener('change', () => player.hear(side.value as SideName));
  }
  const showVolume = () => {
    const words = `${figure(Number(volume.value), 0)} dB`;
    byId('volume-value').textContent = words;
    volume.setAttribute('aria-valuetext', words);
    player.setVolume(Number(volume.value));
  };
  volume.addEventListener('input', showVolume);
  showVolume();

  return {
    change: (shown) => {
      latest = shown;
      player.change(shown);
    },
  };
}
