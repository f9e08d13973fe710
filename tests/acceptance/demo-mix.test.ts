/** The demo, shortened to two bars: the kit that `batterhead simulate` writes, mixed by the plan beside it. */
import { mkdtempSync, readFileSync, rmSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import type { MixFileReport } from '../../src/report/mix-file-report.ts';
import { mixPlanFile } from '../../src/node/mix-plan-file.ts';
import { simulateFolder } from '../../src/node/simulate-folder.ts';
import { decodeWav } from '../../src/wav/decode-wav.ts';
import { peak, rms } from '../support/signals.ts';

describe('the demo mix', () => {
  let folder = '';
  let report: MixFileReport;
  let mix: readonly Float64Array[];

  beforeAll(async () => {
    folder = mkdtempSync(join(tmpdir(), 'batterhead-demo-'));
    simulateFolder(folder, { bars: 2 });
    report = await mixPlanFile(join(folder, 'plan.json'), { chunkFrames: 1000 });
    mix = decodeWav(readFileSync(join(folder, 'mix.wav'))).channels;
  }, 120_000);
  afterAll(() => {
    rmSync(folder, { recursive: true, force: true });
  });

  it('is stereo, finite, not silent, and nowhere above the ceiling of its plan', () => {
    expect(mix).toHaveLength(2);
    for (const channel of mix) {
      expect(channel.every(Number.isFinite)).toBe(true);
      expect(rms(channel)).toBeGreaterThan(0.01);
      expect(peak(channel)).toBeLessThanOrEqual(10 ** (-5 / 20) + 2 / 2 ** 23); // two steps of dither
    }
    expect(report.mix.nonFiniteInputs).toBe(0);
  });

  it('has the same bytes rendered in chunks of 64 and of 48 000 frames', async () => {
    for (const chunkFrames of [64, 48_000]) {
      const again = await mixPlanFile(join(folder, 'plan.json'), {
        folder: join(folder, String(chunkFrames)),
        chunkFrames,
      });
      expect(again.mix.sha256).toBe(report.mix.sha256);
    }
  });

  it('has the same bytes without WebAssembly', async () => {
    const again = await mixPlanFile(join(folder, 'plan.json'), { folder: join(folder, 'plain'), simd: false });
    expect(again.mix.sha256).toBe(report.mix.sha256);
    expect(again.unprocessed.sha256).toBe(report.unprocessed.sha256);
  });

  it('is denser than the unprocessed mix of the same loudness, which fits below full scale too', () => {
    const { channels } = decodeWav(readFileSync(join(folder, 'unprocessed.wav')));
    expect(Math.max(...channels.map(peak))).toBeLessThan(1);
    const crest = (x: readonly Float64Array[]) => 20 * Math.log10(Math.max(...x.map(peak)) / Math.max(...x.map(rms)));
    expect(crest(channels) - crest(mix)).toBeGreaterThan(1);
  });

  it('sends no kick into the space', () => {
    const plan = JSON.parse(readFileSync(join(folder, 'plan.json'), 'utf8')) as {
      channels: Record<string, { output: string; sends?: { to: string }[] }>;
      buses: Record<string, { sends?: { to: string }[] }>;
    };
    const feeding = Object.entries({ ...plan.channels, ...plan.buses }).filter(([, { sends }]) =>
      sends?.some(({ to }) => to === 'space'),
    );
    expect(feeding.map(([name]) => name).sort()).toEqual(['snare', 'toms']);
  });
});
