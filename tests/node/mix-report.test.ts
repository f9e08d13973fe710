import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, it } from 'vitest';
import { sha256OfFile } from '../../src/node/files.ts';
import { mixPlanFile } from '../../src/node/mix-plan-file.ts';
import { WavInput, writeWavFile } from '../../src/node/wav-files.ts';
import { recordingOfFile } from '../../src/node/wav-sources.ts';
import type { MixFileReport } from '../../src/report/mix-file-report.ts';
import { warningsOf } from '../../src/report/warnings.ts';
import { decodeWav } from '../../src/wav/decode-wav.ts';
import { constant, noise, peak, sine } from '../support/signals.ts';
import { EVIL, RATE, smallSession } from '../support/small-session.ts';

const FILES = ['mix.wav', 'report.csv', 'report.html', 'report.json', 'unprocessed.wav'];

let folder = '';
const at = (name: string) => join(folder, name);
const open = () => {
  folder = mkdtempSync(join(tmpdir(), 'batterhead-report-'));
};
const close = () => {
  rmSync(folder, { recursive: true, force: true });
};
const write = (plan: object) => {
  writeFileSync(at('plan.json'), JSON.stringify(plan));
  return at('plan.json');
};
/** Lines of the table as objects. */
const tableOf = (csv: string) => {
  const [head, ...lines] = csv.trimEnd().split('\n');
  expect(head).toBe('section,subject,quantity,at,value,unit');
  return lines.map((line) => {
    const cells = [...line.matchAll(/(?:^|,)(?:"((?:[^"]|"")*)"|([^,]*))/g)].map(
      ([, quoted, plain]) => quoted ?? plain,
    );
    expect([line, cells.length]).toEqual([line, 6]);
    const [section, subject, quantity, place, value, unit] = cells;
    return { section, subject, quantity, place, value, unit };
  });
};

describe('the report of a mix', () => {
  let report: MixFileReport;

  beforeAll(async () => {
    open();
    report = await mixPlanFile(write(smallSession(folder)));
  });
  afterAll(close);

  it('is written as data, as a page and as a table, beside the sound', () => {
    for (const name of FILES) expect([name, existsSync(at(name))]).toEqual([name, true]);
    expect(readdirSync(folder).filter((name) => name.includes('.part'))).toEqual([]);
    expect(JSON.parse(readFileSync(at('report.json'), 'utf8'))).toEqual(JSON.parse(JSON.stringify(report)));
    // Lists of numbers take a line each: the file can be read.
    expect(readFileSync(at('report.json'), 'utf8').split('\n').length).toBeLessThan(8000);
  });

  it('judges the mix beside its references: a shelf of +5 dB stands out in the highs', () => {
    const { files, comparison } = report.references ?? expect.fail('no references');
    expect(files.map(({ sha256 }) => sha256)).toEqual(
      ['reference-0.wav', 'reference-1.wav'].map((name) => sha256OfFile(at(name))),
    );
    expect(Object.keys(comparison?.gainsDb ?? {})).toEqual(['reference-0.wav', 'reference-1.wav (0.4 to 2.9 s)']);
    // The second is the first at 0.4 of its level.
    const [first, second] = Object.values(comparison?.gainsDb ?? {});
    expect(second - first).toBeCloseTo(20 * Math.log10(2.5), 0);
    expect(comparison?.findings.join('\n')).toMatch(/^highs .* above the highest reference$/m);
  });

  it('tells what the other instruments cover: the bass the lows of the kick', () => {
    const { parts, files } = report.context ?? expect.fail('no context');
    expect(Object.keys(files)).toEqual(['bass', 'guitars']);
    expect(parts.map(({ name }) => name)).toEqual(['mix', `snare ${EVIL} in the mix`, 'kick in the mix']);
    expect(parts[2].facts.join('\n')).toMatch(/^kick in the mix [\d-]+ Hz is .* bass in \d+ % of its hits$/m);
    const [{ bands, map }] = parts;
    expect(map?.marginDb.length).toBe(bands.length);
    expect(map?.marginDb.flat().some((margin) => margin === null)).toBe(true);
    // Between two hits of the kick nothing but the bass sounds at 70 Hz; the gain of a stem counts in decibels.
    const low = bands.find(({ fromHz, toHz }) => fromHz <= 70 && 70 < toHz);
    expect(low?.masker).toBe('bass');
  });

  it('tells the chain of every strip, what its blocks did, and how the recordings are', () => {
    const { strips } = report.mix;
    expect(Object.keys(strips)).toEqual(
      expect.arrayContaining([
        'channels.kick',
        'channels.top',
        'channels.bottom',
        'buses.drums',
        'buses.space',
        'mixBus',
      ]),
    );
    const [compressor] = strips['channels.top'].chain;
    expect(compressor).toMatchObject({ type: 'compressor', values: { thresholdDb: -20, ratio: 4, makeupDb: 3 } });
    expect(compressor.gain?.lowestDb).toBeLessThan(-3);
    expect(compressor.gain?.highestDb).toBeCloseTo(0, 1);
    expect(strips['channels.kick'].chain[0]).toMatchObject({ type: 'gate', hitKey: { drum: 'kick' } });
    expect(strips['buses.drums'].chain[0].chains).toHaveLength(2);
    const { levels } = report.inputs['kick'];
    const [samples] = decodeWav(readFileSync(at('kick.wav'))).channels;
    expect(levels).toMatchObject({ channels: 1, frames: samples.length, clippedRuns: 0, nonFiniteSamples: 0 });
    expect(levels.peakDb).toBeCloseTo(20 * Math.log10(peak(samples)), 6);
  });

  it('has the same figures in its table', () => {
    const rows = tableOf(readFileSync(at('report.csv'), 'utf8'));
    const value = (section: string, subject: string, quantity: string) =>
      rows.find((row) => row.section === section && row.subject === subject && row.quantity === quantity)?.value;
    expect(Number(value('figure', 'mix', 'integratedLufs'))).toBe(report.mix.figures.integratedLufs);
    expect(Number(value('block', 'channels.top chain 1 compressor', 'lowest gain'))).toBe(
      report.mix.strips['channels.top'].chain[0].gain?.lowestDb,
    );
    expect(value('reference', 'crest factor', 'verdict')).toMatch(/inside|above|below/);
    expect(value('input', 'top', 'file')).toBe(`${EVIL}.wav`);
    expect(rows.filter(({ section }) => section === 'warning').map((row) => row.value)).toEqual(
      report.warnings.map(({ text }) => text),
    );
    expect(rows.filter(({ section }) => section === 'masking map').length).toBeGreaterThan(1000);
    expect(rows.filter(({ value: cell }) => /NaN|Infinity/.test(cell))).toEqual([]);
  });

  it('tells of a tail that was cut, and of a file that a player may clip', () => {
    const { mix, unprocessed } = report;
    const words = warningsOf({
      ...report,
      mix: { ...mix, tailCut: true },
      unprocessed: { ...unprocessed, peakDb: 0.5 },
    }).map(({ text }) => text);
    expect(words).toContain('a tail without end was cut; output.maxTailSeconds says when');
    expect(words).toContain('unprocessed.wav rises above full scale: a player without headroom would clip it');
    expect(words.length).toBe(report.warnings.filter(({ text }) => !text.startsWith('unprocessed')).length + 2);
  });

  it('doubts a pair that little speaks for, but not one that a better one replaces', () => {
    const [pair] = report.mix.alignment.pairs;
    const doubts = (...pairs: readonly Partial<typeof pair>[]) => {
      const alignment = { ...report.mix.alignment, pairs: pairs.map((change) => ({ ...pair, ...change })) };
      return warningsOf({ ...report, mix: { ...report.mix, alignment } }).filter(({ text }) => /^alignment/.test(text));
    };
    const weak = { used: false, note: 'the confidence is too low', reasons: ['only 1 hit agrees'] };
    expect(doubts({ used: true, note: '', reasons: [] })).toEqual([]);
    expect(doubts({ ...weak, close: false })[0].text).toMatch(/: the confidence is too low; only 1 hit agrees$/);
    expect(doubts({ ...weak, close: false }, { used: true, note: '', reasons: [], close: false })).toEqual([]);
    expect(doubts({ ...weak, close: true }, { used: true, note: '', reasons: [], close: false })).toHaveLength(1);
  });

  it('takes whatever a plan calls its things for text', () => {
    const page = readFileSync(at('report.html'), 'utf8');
    expect(page).not.toContain('<img');
    expect(page.split('&lt;img src=x onerror=alert(1)&gt;').length).toBeGreaterThan(5);
    expect(page.replaceAll(/base64,[\w+/=]+/g, '')).not.toMatch(/NaN|Infinity|undefined|\[object/);
  });
});

describe('a report', () => {
  beforeEach(open);
  afterEach(close);
  const channel = (input: string, ...chain: object[]) => ({ input, chain });
  const small = (inputs: object, channels: object, more: object = {}) =>
    write({ version: 1, inputs, channels, output: { file: 'mix.wav', sampleFormat: 'float32' }, ...more });
  const sound = (name: string, ...channels: Float64Array[]) => {
    writeWavFile(at(name), channels, { sampleRateHz: RATE, encoding: 'float', bitsPerSample: 32 });
  };
  const wordsOf = (report: MixFileReport) => report.warnings.map(({ harm, text }) => `${harm}: ${text}`);
  const pageText = () => readFileSync(at('report.html'), 'utf8').replaceAll(/base64,[\w+/=]+/g, '');

  it('warns of what does harm, the most harmful first', async () => {
    const broken = noise(RATE, 1, 0.3);
    broken[5] = NaN;
    sound('broken.wav', broken);
    sound(
      'clipped.wav',
      sine(RATE, 100, RATE, 4).map((v) => Math.max(-1, Math.min(1, v))),
    );
    sound(
      'offset.wav',
      noise(RATE, 2, 0.1).map((v) => v + 0.2),
    );
    sound('silent.wav', new Float64Array(RATE));
    const inputs = Object.fromEntries(
      ['broken', 'clipped', 'offset', 'silent', 'unused'].map((name) => [name, { file: `${name}.wav` }]),
    );
    sound('unused.wav', noise(100));
    const space = { chain: [{ type: 'feedbackReverb', decaySeconds: 1 }] };
    const plan = small(
      inputs,
      {
        broken: channel('broken'),
        clipped: { input: 'clipped', sends: [{ to: 'space', gainDb: 6 }] },
        offset: channel('offset'),
        silent: channel('silent'),
      },
      { buses: { space }, output: { file: 'mix.wav', sampleFormat: 'integer16' } },
    );
    const report = await mixPlanFile(plan);
    const words = wordsOf(report);
    const order = [
      /^spoilt: broken \(broken\.wav\) has 1 sample that is no usable number/,
      /^spoilt: clipped \(clipped\.wav\) is clipped in \d+ places/,
      /^spoilt: mix\.wav: \d+ samples did not fit/,
      /^doubtful: the true peak of mix\.wav is .* above full scale/,
      /^doubtful: offset \(offset\.wav\) has an offset of 20\.\d % of full scale/,
      /^doubtful: silent \(silent\.wav\) is silent/,
      /^notable: buses\.space adds -?\d+\.\d dB below 150 Hz/,
      /^notable: unused \(unused\.wav\) is heard in no channel/,
    ];
    const found = order.map((pattern) => words.findIndex((text) => pattern.test(text)));
    expect(order.filter((_, i) => found[i] < 0)).toEqual([]);
    expect(found).toEqual([...found].sort((a, b) => a - b));
    expect(pageText()).not.toMatch(/NaN|Infinity/);
  });

  it('knows no NaN for silence, for one sample, nor for nothing at all', async () => {
    for (const frames of [RATE, 1, 0]) {
      sound('still.wav', new Float64Array(frames));
      const limiter = { type: 'limiter' };
      const report = await mixPlanFile(small({ a: { file: 'still.wav' } }, { a: channel('a', limiter) }));
      expect(wordsOf(report)[0]).toBe('spoilt: mix.wav is silent, or too short for its loudness to be measured');
      expect(report.mix.loudnessLufs).toBeNull();
      expect(pageText()).toContain('There is nothing to compare');
      for (const name of ['report.html', 'report.csv', 'report.json']) {
        expect([name, /NaN|Infinity|undefined/.exec(readFileSync(at(name), 'utf8'))]).toEqual([name, null]);
      }
    }
  });

  it('takes one channel of eight, and refuses all of them', async () => {
    sound('eight.wav', ...Array.from({ length: 8 }, (_, c) => noise(RATE, c + 1, 0.1)));
    const { mix, inputs } = await mixPlanFile(small({ a: { file: 'eight.wav', channel: 7 } }, { a: channel('a') }));
    expect(mix.loudnessLufs).toBeGreaterThan(-40);
    expect(inputs['a'].levels).toMatchObject({ channels: 8, frames: RATE });
    await expect(mixPlanFile(small({ a: { file: 'eight.wav' } }, { a: channel('a') }))).rejects.toThrow(
      'inputs.a: channels of the file (name one with "channel") must be 1 to 2, got 8',
    );
  });

  it('gives clear words and figures for a mix that is clipped all over', async () => {
    sound(
      'square.wav',
      constant(1, RATE).map((v, i) => (i % 100 < 50 ? v : -v)),
    );
    const report = await mixPlanFile(small({ a: { file: 'square.wav' } }, { a: channel('a') }));
    expect(report.inputs['a'].levels.clippedSamples).toBe(RATE);
    expect(wordsOf(report)[0]).toMatch(/^spoilt: a \(square\.wav\) is clipped in \d+ places, 48000 samples in all$/);
  });

  it('is all that is kept where only a report is asked for', async () => {
    const plan = small({ a: { file: 'a.wav' } }, { a: channel('a') });
    sound('a.wav', noise(RATE, 1, 0.1));
    await mixPlanFile(plan, { reportOnly: true, folder: at('new') });
    expect(readdirSync(at('new')).sort()).toEqual(['report.csv', 'report.html', 'report.json']);
    await mixPlanFile(plan);
    const before = sha256OfFile(at('mix.wav'));
    const page = readFileSync(at('report.html'), 'utf8');
    const louder = small({ a: { file: 'a.wav' } }, { a: channel('a') }, { mixBus: { gainDb: 6 } });
    await mixPlanFile(louder, { reportOnly: true });
    expect(sha256OfFile(at('mix.wav'))).toBe(before);
    expect(readFileSync(at('report.html'), 'utf8')).not.toBe(page);
  });

  it('refuses references and stems that do not fit, before anything is rendered', async () => {
    sound('a.wav', noise(RATE, 1, 0.1));
    sound('silence.wav', new Float64Array(RATE));
    writeWavFile(at('other.wav'), [noise(44_100, 1, 0.1)], { sampleRateHz: 44_100 });
    const stages: string[] = [];
    const refuse = async (more: object, message: string) => {
      const plan = small({ a: { file: 'a.wav' } }, { a: channel('a') }, more);
      const mixing = mixPlanFile(plan, { folder: at('new'), onProgress: (stage) => stages.push(stage) });
      await expect(mixing).rejects.toThrow(message);
      expect(existsSync(at('new'))).toBe(false);
    };
    await refuse({ references: [{ file: 'nowhere.wav' }] }, 'nowhere.wav');
    await refuse({ references: [{ file: 'a.wav' }, { file: 'silence.wav' }] }, 'references[1]: must hold sound');
    await refuse(
      { references: [{ file: 'a.wav', startSeconds: 1.5 }] },
      'references[0].startSeconds must be before the end of the file (1.0 s), got 1.5',
    );
    await refuse({ context: { bass: { file: 'nowhere.wav' } } }, 'nowhere.wav');
    await refuse(
      { context: { bass: { file: 'other.wav' } } },
      'context.bass: the file must have 48000 Hz, as the inputs have, got 44100 Hz',
    );
    expect(stages).not.toContain('mixing');
    const plan = (more: object) => small({ a: { file: 'a.wav' } }, { a: channel('a') }, more);
    sound('report.html', noise(RATE));
    await expect(mixPlanFile(plan({ references: [{ file: 'report.html' }] }))).rejects.toThrow(
      'references[0].file must not be report.html, which is written',
    );
    await expect(mixPlanFile(plan({ context: { x: { file: 'a.wav' } }, output: { file: 'a.wav' } }))).rejects.toThrow(
      'output.file must not be inputs.a.file',
    );
  });
});

describe('a file as a recording', () => {
  beforeEach(open);
  afterEach(close);

  it('gives each channel of any stretch at any place, silence around it', () => {
    const left = noise(50_000, 1),
      right = noise(50_000, 2);
    writeWavFile(at('x.wav'), [left, right], { sampleRateHz: RATE, encoding: 'float', bitsPerSample: 64 });
    const file = new WavInput(at('x.wav'));
    try {
      const stretch = recordingOfFile(file, { start: -100, end: 49_000, gain: 0.5 });
      expect(stretch.channels.map(({ frames }) => frames)).toEqual([49_100, 49_100]);
      const into = new Float64Array(3000);
      for (const [place, from] of [
        [0, 0],
        [1, 48_000],
        [0, -50],
        [1, 16_000],
        [0, 33_000],
        [1, 60_000],
        [1, 15_000],
      ]) {
        stretch.channels[place].read(from, into);
        const source = [left, right][place];
        const expected = Float64Array.from(into, (_, i) => {
          const frame = from + i - 100;
          return frame >= 0 && frame < 49_000 ? 0.5 * source[frame] : 0;
        });
        expect([from, into]).toEqual([from, expected]);
      }
    } finally {
      file.close();
    }
  });
});
