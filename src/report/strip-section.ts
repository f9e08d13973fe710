/**
 * Channels and buses in a report: where each goes, its chain with the figures of each block, and what its dynamics did.
 * @module
 */
import type { StripReport } from '../mix/strip-report.ts';
import { defaultsText, settingsText } from './block-text.ts';
import { figure, shortNumber, signed } from './figure.ts';
import { markup, type Markup, tableOf } from './markup.ts';
import type { MixFileReport } from './mix-file-report.ts';
import { gainPicture } from './pictures.ts';

/** All strips, in the order of the plan. */
export function stripSection({ mix, inputs, speed }: MixFileReport): Markup {
  const ms = (samples: number) => figure((1000 * samples) / mix.sampleRateHz, 2);
  return markup`<p>
      Gains are relative to each block at rest, make-up left out: the lowest, the mean over the whole mix, and the
      highest. Latency is compensated: all paths meet in time, ${ms(mix.latencySamples)} ms behind the inputs, which the
      files do not show.
    </p>
    ${Object.entries(mix.strips).map(([path, strip]) => {
      const file = strip.input === undefined ? undefined : inputs[strip.input].file;
      return markup`<h3>${path}</h3>
        <p>${routeText(path, strip, file)}</p>
        <p class="faint">
          Peak behind the chain ${figure(strip.peakDb, 1)} dBFS; begins ${ms(strip.startSamples)} ms and ends
          ${ms(strip.endSamples)} ms after the inputs.
        </p>
        ${chainTable(path, strip, ms)} ${gainPictures(path, strip, speed.mixSeconds)}`;
    })}`;
}

/** Where a strip comes from and goes to. */
function routeText(path: string, strip: StripReport, file: string | undefined): string {
  const { input, gainDb, pan, widthPercent, output, sends } = strip;
  const fader = `fader ${signed(gainDb, 1)} dB`;
  if (path === 'mixBus') return `The sum of all that goes to it; ${fader}.`;
  const source = input === undefined ? 'The sum of what it is sent' : `Input ${input} (${file ?? ''})`;
  const place = pan === 0 ? 'centre' : `${figure(100 * Math.abs(pan), 0)} % ${pan < 0 ? 'left' : 'right'}`;
  const width = widthPercent === 100 ? '' : `, width ${shortNumber(widthPercent)} %`;
  const sent = sends.map(({ to, gainDb: level, tap, highpassHz }) => {
    const taken = tap === 'preFader' ? ' before the fader' : '';
    return `${to} at ${signed(level, 1)} dB${taken}${highpassHz > 0 ? ` above ${shortNumber(highpassHz)} Hz` : ''}`;
  });
  return `${source}; ${fader}, ${place}${width}, to ${output}${sent.length > 0 ? `; sent to ${sent.join(', ')}` : ''}.`;
}

function chainTable(path: string, { chain }: StripReport, ms: (samples: number) => string): Markup {
  if (chain.length === 0) return markup`<p>No block.</p>`;
  const rows = chain.map((block) => {
    const defaults = defaultsText(block);
    return [
      block.type,
      markup`${settingsText(block)} ${defaults === '' ? undefined : markup`<span class="faint">(${defaults})</span>`}`,
      ms(block.latencySamples),
      ...(['lowestDb', 'meanDb', 'highestDb'] as const).map((name) => (block.gain ? signed(block.gain[name], 1) : '')),
    ];
  });
  const head = ['block', 'set to (defaults)', 'latency ms', 'lowest gain dB', 'mean', 'highest'];
  return tableOf(`Chain of ${path}`, head, rows, { long: 1 });
}

function gainPictures(path: string, { chain }: StripReport, seconds: number): Markup | undefined {
  const traced = chain.flatMap(({ type, gain }, b) => (gain ? [{ title: `${path}: ${type} ${b + 1}`, gain }] : []));
  if (traced.length === 0) return undefined;
  return markup`<div class="pictures">${traced.map(({ title, gain }) => gainPicture(title, gain, seconds))}</div>`;
}
