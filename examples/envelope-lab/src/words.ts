/**
 * Names as people read them.
 * @module
 */
import type { DryChoice, MicrophoneChoice, SourceName } from './settings.ts';

export const sourceWords: Readonly<Record<SourceName, string>> = {
  kit: 'Drum kit, simulated',
  step: 'Test signal: a step of level',
  burst: 'Test signal: bursts',
  sine: 'Test signal: a sine',
  file: 'File of your own',
};

export const microphoneWords: Readonly<Record<MicrophoneChoice, string>> = {
  kickIn: 'kick, inside',
  kickOut: 'kick, outside',
  snareTop: 'snare, top',
  snareBottom: 'snare, bottom',
  hat: 'hi-hat',
  tom1: 'rack tom',
  tom2: 'floor tom',
  ride: 'ride',
  overheads: 'overheads, a pair',
  rooms: 'room, a pair',
};

export const dryWords: Readonly<Record<DryChoice, string>> = {
  none: 'nothing',
  inTime: 'the input, delayed by the latency of the block',
  early: 'the input as it is',
};

/** Suffixes of parameter names, and the units that they stand for. */
const units: Readonly<Record<string, string>> = {
  Db: 'dB',
  Hz: 'Hz',
  Ms: 'ms',
  Seconds: 's',
  Samples: 'samples',
  Percent: '%',
  Metres: 'm',
};

const SUFFIX = new RegExp(`^(.+)(${Object.keys(units).join('|')})$`);

/** `slowReleaseMs` as `slow release` and `ms`. */
export function nameAndUnit(parameter: string): readonly [name: string, unit: string] {
  const [, stem = parameter, suffix = ''] = SUFFIX.exec(parameter) ?? [];
  return [spaced(stem), units[suffix] ?? ''];
}

/** Words that a name in code cannot spell. */
const spellings: Readonly<Record<string, string>> = {
  hz: 'Hz',
  rms: 'RMS',
  dc: 'DC',
  q: 'Q',
  lookahead: 'look-ahead',
  makeup: 'make-up',
  predelay: 'pre-delay',
  highpass: 'high-pass',
  lowpass: 'low-pass',
};

/** `upwardCompressor` as `upward compressor`; `decay125Hz` as `decay 125 Hz`. */
export function spaced(name: string): string {
  return name
    .replace(/(\d+)/g, ' $1 ')
    .replace(/([a-z])([A-Z])/g, '$1 $2')
    .split(/ +/)
    .map((word) => spellings[word.toLowerCase()] ?? word.toLowerCase())
    .join(' ')
    .trim();
}

/** The first letter large. */
export function sentence(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}

/** A number with few digits, a true minus sign, and words for infinity. */
export function figure(value: number, digits = 1): string {
  if (value === -Infinity) return 'silence';
  return value
    .toFixed(digits)
    .replace(/^-(0(?:\.0*)?)$/, '$1')
    .replace('-', '\u2212');
}
