import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { hitsFromCsv } from '../../src/hits/hits-csv.ts';
import { parseHitList } from '../../src/hits/hit-list.ts';
import { hitsPlanFile } from '../../src/node/hits-plan-file.ts';
import { hitsFromMidi } from '../../src/node/midi-hits.ts';
import { mixPlanFile } from '../../src/node/mix-plan-file.ts';
import { hitsSummary } from '../../src/node/summary.ts';
import { writeWavFile } from '../../src/node/wav-files.ts';
import { simulateKit } from '../../src/simulation/simulate-kit.ts';
import { impulse } from '../support/signals.ts';

const NAMES = ['kickIn', 'snareTop'] as const;

describe('the hits of a plan file', () => {
  let folder = '';
  const plan = (name: string, hits?: object): string => {
    const json = {
      version: 1,
      inputs: Object.fromEntries(NAMES.map((input) => [input, { file: `${input}.wav` }])),
      channels: Object.fromEntries(NAMES.map((input) => [input, { input }])),
      hits,
      output: { file: `${name}.wav`, sampleFormat: 'float32' },
    };
    writeFileSync(join(folder, `${name}.json`), JSON.stringify(json));
    return join(folder, `${name}.json`);
  };
  const drums = {
    kick: { microphone: 'kickIn', kind: 'kick', layer: { samples: [{ velocity: 90, files: ['click.wav'] }] } },
    snare: { microphone: 'snareTop', kind: 'snare' },
  };

  beforeAll(() => {
    folder = mkdtempSync(join(tmpdir(), 'batterhead-hits-'));
    const kit = simulateKit({ bars: 1, tailSeconds: 0.3 });
    const rate = { sampleRateHz: kit.sampleRateHz };
    for (const name of NAMES) writeWavFile(join(folder, `${name}.wav`), [kit.microphones[name]], rate);
    writeWavFile(join(folder, 'click.wav'), [impulse(480, 0, 0.5)], rate);
    writeWavFile(join(folder, 'wide.wav'), [impulse(480), impulse(480)], rate);
  }, 30_000);
  afterAll(() => {
    rmSync(folder, { recursive: true });
  });

  it('are told, drawn and written; a plan that names the list mixes the same bytes', async () => {
    const found = hitsPlanFile(plan('found', { drums }), { json: true, csv: true, midi: true });
    expect(found.files.map((file) => file.slice(folder.length + 1))).toEqual([
      'hits.svg',
      'hits.json',
      'hits.csv',
      'hits.mid',
    ]);
    const list = parseHitList(JSON.parse(readFileSync(join(folder, 'hits.json'), 'utf8')));
    expect(list).toEqual(found.list);
    const csv = hitsFromCsv(readFileSync(join(folder, 'hits.csv'), 'utf8'), list.sampleRateHz);
    expect(csv.hits.length).toBe(list.hits.length);
    const notes = hitsFromMidi(readFileSync(join(folder, 'hits.mid')), list.sampleRateHz);
    expect(notes.hits.map(({ drum }) => drum)).toEqual(list.hits.map(({ drum }) => drum));
    const kicks = list.hits.filter(({ drum }) => drum === 'kick').length;
    expect(kicks).toBeGreaterThanOrEqual(4);
    expect(readFileSync(join(folder, 'hits.svg'), 'utf8')).toContain(`kick: ${kicks} hits in kickIn`);
    expect(hitsSummary(found)).toMatch(new RegExp(`kick +${kicks} `));

    const detected = await mixPlanFile(join(folder, 'found.json'));
    const listed = await mixPlanFile(plan('listed', { file: 'hits.json', drums }));
    expect(listed.mix.sha256).toBe(detected.mix.sha256);
    expect(listed.mix.hits?.kick).toMatchObject({ hits: kicks, layered: { samples: kicks } });
    const { peakDb, gainDb } = listed.unprocessed;
    const { unprocessed: bare } = await mixPlanFile(plan('bare', { drums: { snare: drums.snare } }));
    expect((peakDb ?? 0) - gainDb).toBeCloseTo((bare.peakDb ?? 0) - bare.gainDb, 9); // without the samples
  }, 30_000);

  it('refuse a sample of two channels, a list that is none, and to write over what they read', async () => {
    const layered = (file: string) => ({
      file: 'hits.json',
      drums: { kick: { ...drums.kick, layer: { samples: [{ velocity: 90, files: [file] }] } } },
    });
    await expect(mixPlanFile(plan('two', layered('wide.wav')))).rejects.toThrow(
      /wide\.wav must have one channel, .* got 2/,
    );
    await expect(mixPlanFile(plan('none', layered('lost.wav')))).rejects.toThrow(/lost\.wav/);
    await expect(mixPlanFile(plan('click', layered('click.wav')))).rejects.toThrow(
      /output\.file must not be click\.wav/,
    );
    writeFileSync(join(folder, 'no-list.json'), '{"version":1}');
    await expect(mixPlanFile(plan('bad', { file: 'no-list.json', drums }))).rejects.toThrow(/no-list\.json: /);
    expect(() => hitsPlanFile(plan('plain'))).toThrow(
      'hits must name at least one drum (a plan of "batterhead plan FOLDER" does)',
    );
  });
});
