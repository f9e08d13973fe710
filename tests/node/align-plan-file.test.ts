import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { basename, join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { alignPlanFile } from '../../src/node/align-plan-file.ts';
import { alignmentSummary } from '../../src/node/align-summary.ts';
import { mixPlanFile } from '../../src/node/mix-plan-file.ts';
import { mixSummary } from '../../src/node/summary.ts';
import { writeWavFile } from '../../src/node/wav-files.ts';
import { simulateKit } from '../../src/simulation/simulate-kit.ts';
import { elementsOf } from '../plots/svg-reader.ts';

const names = ['snareTop', 'snareBottom', 'overheadLeft'] as const;
const plan = {
  version: 1,
  inputs: Object.fromEntries(names.map((name) => [name, { file: `${name}.wav` }])),
  alignment: { drums: { snare: ['snareTop', 'snareBottom'] }, overheads: ['overheadLeft'] },
  channels: { top: { input: 'snareTop' }, bottom: { input: 'snareBottom' } },
  output: { file: 'mix.wav' },
};

describe('alignPlanFile', () => {
  let folder = '';
  const at = (name: string) => join(folder, name);
  const writePlan = (name: string, json: object) => {
    writeFileSync(at(name), JSON.stringify(json));
    return at(name);
  };

  beforeAll(() => {
    folder = mkdtempSync(join(tmpdir(), 'batterhead-align-'));
    const strokes = Array.from(
      { length: 8 },
      (_, i) => ({ drum: 'snare', seconds: 0.1 + 0.2 * i, velocity: 0.8 }) as const,
    );
    const { sampleRateHz, microphones } = simulateKit({ strokes, tailSeconds: 0.2 });
    for (const name of names) writeWavFile(at(`${name}.wav`), [microphones[name]], { sampleRateHz });
    writePlan('plan.json', plan);
  });
  afterAll(() => {
    rmSync(folder, { recursive: true, force: true });
  });

  it('draws every pair, writes the moves, tells them as a table, and leaves the plan as it is', () => {
    const aligned = alignPlanFile(at('plan.json'), { write: at('moves.json') });
    expect(readFileSync(at('plan.json'), 'utf8')).toBe(JSON.stringify(plan));
    expect(aligned.pictureFiles.map((path) => basename(path))).toEqual([
      'snare-snareTop-snareBottom.svg',
      'snare-snareTop-overheadLeft.svg',
    ]);
    for (const path of aligned.pictureFiles) {
      const svg = readFileSync(path, 'utf8');
      expect(elementsOf(svg, 'polyline').length).toBeGreaterThanOrEqual(6); // two microphones and their sum, twice
      expect(svg).toContain('Correlation: ');
      expect(svg).not.toMatch(/NaN|Infinity/);
    }
    const text = alignmentSummary(aligned);
    expect(text).toMatch(/^microphone +drum +moved by samples +ms +cm +polarity\n/);
    expect(text).toMatch(/snareBottom +snare +\d+\.\d\d +\d\.\d{3} +\d+\.\d +inverted/);
    expect(text).toMatch(
      /snareTop \+ snareBottom: the sum gains \d+\.\d dB from 100 to 300 Hz, of the \d+\.\d dB that/,
    );
    expect(readdirSync(folder).filter((name) => name.includes('.part'))).toEqual([]);

    // The part of a plan that it wrote: with it, nothing is listened to, and the delays are those found.
    const fragment = JSON.parse(readFileSync(at('moves.json'), 'utf8')) as object;
    const again = alignPlanFile(writePlan('by-hand.json', { ...plan, ...fragment }), { pictures: at('none') });
    expect(again.pairs).toEqual([]);
    expect(existsSync(at('none'))).toBe(false);
    for (const name of names) {
      expect(again.moves[name].delaySamples).toBeCloseTo(aligned.moves[name].delaySamples, 4);
      expect(again.moves[name].polarity).toBe(aligned.moves[name].polarity);
    }
    expect(alignmentSummary(again)).toContain('set by hand');
  });

  it('says so where no alignment is asked for, and where a pair has no hit to compare', () => {
    const { alignment: _, ...unasked } = plan;
    expect(alignmentSummary(alignPlanFile(writePlan('unasked.json', unasked), { pictures: at('none') }))).toContain(
      'The plan asks for no alignment',
    );
    const aligned = alignPlanFile(at('plan.json'), { pictures: at('none') });
    const pairs = aligned.pairs.map((pair) => ({ ...pair, hits: 0 }));
    expect(alignmentSummary({ ...aligned, pairs })).toContain(
      'snareTop + snareBottom: not compared, snare has no hit that both hear',
    );
  });

  it('is part of a mix: the report says what the lows gain, and the unprocessed mix is not aligned', async () => {
    const report = await mixPlanFile(at('plan.json'), { folder: at('out') });
    const written = JSON.parse(readFileSync(at('out/report.json'), 'utf8')) as typeof report;
    expect(written.mix.alignment.pairs[0].low.gainDb).toBeGreaterThan(6);
    expect(mixSummary(report)).toContain('snareTop + snareBottom: the sum gains');
    // Uninverted, the two cancel in the unprocessed mix, which has to be turned up for it.
    expect(report.unprocessed.gainDb).toBeGreaterThan(1);
  });

  it('writes over nothing that it reads', () => {
    expect(() => alignPlanFile(at('plan.json'), { write: at('snareTop.wav') })).toThrow(
      /--write must not be inputs.snareTop.file, got/,
    );
    expect(() => alignPlanFile(at('plan.json'), { write: at('plan.json') })).toThrow(/--write must not be the plan/);
    expect(() => alignPlanFile(at('plan.json'), { write: folder })).toThrow('--write must not be a folder');
  });
});
