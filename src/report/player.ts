/**
 * Players of a report: the mix and the unprocessed mix at one loudness, one beside the other and, where scripts may run, one
 * in place of the other.
 *
 * Both run at once and only one is heard, so that a switch keeps the place. It starts silent and takes two seconds to a
 * volume that is low at first; switches and stops fade. Without scripts the two files have the browser's own controls,
 * and fade in by themselves.
 *
 * @module
 */
import { figure } from './figure.ts';
import { markup, Markup } from './markup.ts';
import type { ListeningPair } from './listening.ts';

/**
 * The script: plain, and the same for every report, so that a page can allow it by its digest and no other. A change of it
 * changes {@link PLAYER_DIGEST}.
 */
export const PLAYER_SCRIPT = `(() => {
  'use strict';
  const FADE_IN_SECONDS = 2, FADE_SECONDS = 0.03;
  const byId = (id) => document.getElementById(id);
  const files = [...document.querySelectorAll('#sounds audio')];
  const [play, volume, place, time] = ['play', 'volume', 'place', 'time'].map(byId);
  const choices = [...document.querySelectorAll('#choice input')];
  let context, buffers, master, gains, sources = [], began = 0, at = 0;
  const level = () => (volume.value / 100) ** 2;
  const heard = () => choices.findIndex((choice) => choice.checked);
  const seconds = () => (sources.length > 0 ? (context.currentTime - began) % buffers[0].duration : at);
  const bytesOf = ({ src }) => Uint8Array.from(atob(src.slice(src.indexOf(',') + 1)), (c) => c.charCodeAt(0)).buffer;
  const fade = (gain, to, duration) => {
    const now = context.currentTime;
    gain.cancelScheduledValues(now);
    gain.setValueAtTime(gain.value, now);
    gain.linearRampToValueAtTime(to, now + duration);
  };
  const prepare = async () => {
    if (buffers) return;
    context = new AudioContext();
    master = new GainNode(context, { gain: 0 });
    master.connect(context.destination);
    gains = files.map(() => new GainNode(context, { gain: 0 }));
    for (const gain of gains) gain.connect(master);
    buffers = await Promise.all(files.map((file) => context.decodeAudioData(bytesOf(file))));
    place.max = buffers[0].duration;
  };
  const start = () => {
    gains.forEach(({ gain }, i) => { gain.value = i === heard() ? 1 : 0; });
    const when = context.currentTime + 0.05;
    began = when - at;
    sources = buffers.map((buffer, i) => {
      const source = new AudioBufferSourceNode(context, { buffer, loop: true });
      source.connect(gains[i]);
      source.start(when, at);
      return source;
    });
    master.gain.cancelScheduledValues(0);
    master.gain.setValueAtTime(0, context.currentTime);
    master.gain.setValueAtTime(0, when);
    master.gain.linearRampToValueAtTime(level(), when + FADE_IN_SECONDS);
    play.textContent = 'Stop';
  };
  const stop = () => {
    at = seconds();
    fade(master.gain, 0, FADE_SECONDS);
    for (const source of sources) source.stop(context.currentTime + 2 * FADE_SECONDS);
    sources = [];
    play.textContent = 'Play';
  };
  play.addEventListener('click', async () => {
    await prepare();
    await context.resume();
    if (sources.length > 0) stop();
    else start();
  });
  for (const choice of choices) {
    choice.addEventListener('change', () => {
      if (gains) gains.forEach(({ gain }, i) => fade(gain, i === heard() ? 1 : 0, FADE_SECONDS));
    });
  }
  volume.addEventListener('input', () => { if (sources.length > 0) fade(master.gain, level(), 10 * FADE_SECONDS); });
  place.addEventListener('input', () => {
    const playing = sources.length > 0;
    if (playing) stop();
    at = Number(place.value);
    if (playing) start();
    show();
  });
  const show = () => {
    if (document.activeElement !== place || sources.length > 0) place.value = seconds();
    time.textContent = seconds().toFixed(1) + ' s';
  };
  setInterval(() => { if (sources.length > 0) show(); }, 100);
  byId('player').hidden = false;
  byId('sounds').hidden = true;
})();`;

/** Digest of the script, as a policy of content security writes it. */
export const PLAYER_DIGEST = 'sha256-6xovw/MlTHPqGfFrrPiXhUnrPFbIwV0qpFYLnUevipg=';

/** The players, or why there are none. */
export function players(pair: ListeningPair | undefined): Markup {
  const caution = markup`<p class="caution">
    <strong>Your hearing:</strong> drum peaks are short and high. Start at a low volume, on loudspeakers rather than on
    headphones, and raise it slowly.
  </p>`;
  if (!pair) return markup`<p>There is nothing to compare: the mix or the unprocessed mix is silent, or too short.</p>`;
  const { startSeconds, seconds, loudnessLufs } = pair;
  const end = startSeconds + seconds;
  return markup`${caution}
    <p>
      ${figure(startSeconds, 1)} to ${figure(end, 1)} s of the mix and of the unprocessed mix, both at
      ${figure(loudnessLufs, 1)} LUFS, so that louder does not pass for better. Both begin at the same sample.
    </p>
    <div id="player" hidden>
      <button type="button" id="play">Play</button>
      <fieldset id="choice">
        <legend>You hear</legend>
        <label><input type="radio" name="heard" checked /> the mix</label>
        <label><input type="radio" name="heard" /> the unprocessed mix</label>
      </fieldset>
      <label>Volume <input type="range" id="volume" min="0" max="100" value="40" /></label>
      <label>Place <input type="range" id="place" min="0" max="${figure(seconds, 3)}" step="0.1" value="0" /></label>
      <output id="time">0.0 s</output>
    </div>
    <div id="sounds">${fileOf('The mix', pair.mix)} ${fileOf('The unprocessed mix', pair.unprocessed)}</div>`;
}

/** The script, where it has something to play. */
export function playerScript(pair: ListeningPair | undefined): Markup | undefined {
  // Without a space more: the digest is that of all between the tags.
  return pair && markup`<script>${new Markup(PLAYER_SCRIPT)}</script>`;
}

function fileOf(name: string, bytes: Uint8Array): Markup {
  const source = `data:audio/wav;base64,${base64(bytes)}`;
  return markup`<figure>
    <figcaption>${name}</figcaption>
    <audio controls preload="none" aria-label="${name}" src="${source}"></audio>
  </figure>`;
}

/** Bytes in base 64; the host's own function takes them as letters of 8 bits. */
function base64(bytes: Uint8Array): string {
  const pieces: string[] = [];
  const size = 8190; // a multiple of three: pieces need no padding between them
  for (let at = 0; at < bytes.length; at += size) {
    pieces.push(btoa(String.fromCharCode(...bytes.subarray(at, at + size))));
  }
  return pieces.join('');
}
