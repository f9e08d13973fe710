import { describe, expect, it } from 'vitest';
import { defaultSettings, fromHash, toHash } from '../../../examples/envelope-lab/src/settings.ts';
import { describeFile } from '../../../examples/envelope-lab/src/opened-file.ts';
import { nameAndUnit, spaced } from '../../../examples/envelope-lab/src/words.ts';
import { compressorParameters } from '../../../src/dynamics/compressor.ts';
import { gateParameters } from '../../../src/dynamics/gate.ts';

const tables = { compressor: compressorParameters, gate: gateParameters };
const settings = {
  ...defaultSettings,
  source: 'burst',
  signal: { levelDb: -12, frequencyHz: 440 },
  block: 'compressor',
  options: { thresholdDb: -30.5, detector: 'rms', automaticMakeup: true },
  dry: 'inTime',
  keyHighpassHz: 120,
} as const;

describe('links', () => {
  it('carry all settings there and back', () => {
    expect(fromHash(toHash(settings), tables)).toEqual({ settings, faults: [] });
  });

  it('need name only what is not at its default', () => {
    expect(fromHash('#block=gate&holdMs=0', tables)).toEqual({
      settings: { ...defaultSettings, block: 'gate', options: { holdMs: 0 } },
      faults: [],
    });
  });

  it('say what does not fit, and leave it at its default', () => {
    const { settings: read, faults } = fromHash('#block=gate&holdMs=-3&attackMs=&ratio=2&source=radio', tables);
    expect(read).toEqual({ ...defaultSettings, block: 'gate' });
    expect(faults).toEqual([
      'source must be kit or step or burst or sine or file, got radio',
      'attackMs must be 0 to 1000, got ',
      'holdMs must be 0 to 5000, got -3',
      'ratio is no parameter of the gate',
    ]);
  });

  it('may name a block that is not there', () => {
    expect(fromHash('#block=constructor', tables).faults).toEqual([
      'block must be compressor or gate, got constructor',
    ]);
  });
});

describe('words', () => {
  it('names and units come from the names in code', () => {
    expect(nameAndUnit('slowReleaseMs')).toEqual(['slow release', 'ms']);
    expect(nameAndUnit('rmsMs')).toEqual(['RMS', 'ms']);
    expect(nameAndUnit('decay125HzPercent')).toEqual(['decay 125 Hz', '%']);
    expect(spaced('upwardCompressor')).toBe('upward compressor');
  });

  it('a file is told with what is not taken of it', () => {
    const sound = { sampleRateHz: 192_000, channels: [new Float32Array(1_920_000), new Float32Array(1_920_000)] };
    expect(describeFile('long.wav', { sound, seconds: 10_800, channelsInFile: 6, resampled: false })).toBe(
      'long.wav: 3 h 0 min, 6 channels, 192 kHz. The lab takes the first 10 s of it. Of the channels it takes the first 2.',
    );
  });
});
