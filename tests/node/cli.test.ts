import { spawnSync } from 'node:child_process';
import { existsSync, mkdirSync, mkdtempSync, readdirSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join } from 'node:path';
import { afterAll, beforeAll, describe, expect, it } from 'vitest';
import { writeWavFile } from '../../src/node/wav-files.ts';
import { measureLoudness } from '../../src/meters/loudness.ts';
import { decodeWav } from '../../src/wav/decode-wav.ts';
import { noise, sine } from '../support/signals.ts';
import { bundleNode } from '../support/bundle-node.ts';
import packageJson from '../../package.json';

describe('the command line', () => {
  let folder = '';
  let program = '';

  beforeAll(() => {
    folder = mkdtempSync(join(tmpdir(), 'batterhead-cli-'));
    ({ program } = bundleNode(folder));
  });
  afterAll(() => {
    rmSync(folder, { recursive: true, force: true });
  });

  const run = (...args: string[]) => {
    const { status, stdout, stderr } = spawnSync(process.execPath, [program, ...args], {
      cwd: folder,
      encoding: 'utf8',
    });
    return { status, stdout, stderr };
  };

  it('teaches with --help, and tells its version', () => {
    const { status, stdout } = run('--help');
    expect(status).toBe(0);
    for (const word of ['simulate', 'plan', 'mix', 'report', 'align', 'plan.json', 'Exit codes', 'low volume'])
      expect(stdout).toContain(word);
    expect(run('mix', '--help').stdout).toContain('channels.snareTop.chain[2].attackMs must be 0 to 1000, got -3');
    expect(run('--version').stdout.trim()).toBe(packageJson.version);
  });

  it('simulates a short kit, mixes it, and does not overwrite a plan', () => {
    const simulated = run('simulate', 'kit', '--bars', '1', '--seed', '7', '--bleed-db', '-20');
    expect(simulated).toMatchObject({ status: 0, stderr: '' });
    expect(simulated.stdout).toMatch(/12 microphones, \d+\.\d s, \d+ hits/);
    const truth = JSON.parse(readFileSync(join(folder, 'kit/truth.json'), 'utf8')) as {
      hits: unknown[];
      bleedDb: Record<string, number>;
    };
    expect(truth.hits.length).toBeGreaterThan(10);
    expect(truth.bleedDb['snareTop']).toBeCloseTo(-20, 0);

    const dry = run('mix', 'kit/plan.json', '--dry-run');
    expect(dry).toMatchObject({ status: 0, stderr: '' });
    expect(dry.stdout).toMatch(/channels\.snareTop +snareTop +gate > equaliser +buses\.snare/);
    expect(existsSync(join(folder, 'kit/mix.wav'))).toBe(false);

    const mixed = run('mix', 'kit/plan.json');
    expect(mixed).toMatchObject({ status: 0, stderr: '' });
    expect(mixed.stdout).toContain('times real time');
    expect(existsSync(join(folder, 'kit/mix.wav'))).toBe(true);

    const byOne = run('mix', 'kit/plan.json', '--threads', '1', '--folder', 'one');
    expect(byOne).toMatchObject({ status: 0, stderr: '' });
    expect(readFileSync(join(folder, 'one/mix.wav')).equals(readFileSync(join(folder, 'kit/mix.wav')))).toBe(true);
    expect(run('mix', 'kit/plan.json', '--threads', '0')).toMatchObject({ status: 2 });

    const aligned = run('align', 'kit/plan.json', '--pictures', 'pictures', '--write', 'moves.json');
    expect(aligned).toMatchObject({ status: 0, stderr: '' });
    expect(aligned.stdout).toMatch(/^microphone +drum +moved by samples/);
    expect(aligned.stdout).toContain('14 pictures in ');
    expect(existsSync(join(folder, 'pictures/snare-snareTop-snareBottom.svg'))).toBe(true);
    expect(existsSync(join(folder, 'moves.json'))).toBe(true);

    const planned = run('plan', 'kit/stems', '--output', 'own.json');
    expect(planned).toMatchObject({ status: 0, stderr: '' });
    expect(planned.stdout).toMatch(/snareBottom\.wav +snareBottom +\d+/);
    expect(planned.stdout).toContain('its name says snare');
    expect(run('plan', 'kit/stems', '--output', 'own.json')).toMatchObject({ status: 2 });
    expect(run('plan', 'pictures').stderr).toContain('must hold WAV files');

    writeFileSync(join(folder, 'kit/plan.json'), '{}');
    expect(run('simulate', 'kit', '--bars', '1').stdout).toContain('left as it is');
    expect(readFileSync(join(folder, 'kit/plan.json'), 'utf8')).toBe('{}');

    mkdirSync(join(folder, 'song/stems'), { recursive: true });
    writeFileSync(join(folder, 'song/stems/snareTop.wav'), 'a recording');
    expect(run('simulate', 'song', '--bars', '1').stderr).toContain(
      'snareTop.wav is there already and was not simulated: name another folder',
    );
    expect(readFileSync(join(folder, 'song/stems/snareTop.wav'), 'utf8')).toBe('a recording');
    expect(readdirSync(join(folder, 'song'))).toEqual(['stems']);
  });

  it('measures files as a table, as CSV and as JSON', () => {
    const tone = sine(144_000, 1000, 48_000, 0.1); // 1 kHz in both channels, -20 dBFS: -19.99 LUFS (EBU Tech 3341)
    writeWavFile(join(folder, 'tone, "loud".wav'), [tone, tone], { sampleRateHz: 48_000, seed: 1 });
    writeWavFile(join(folder, 'silence.wav'), [new Float64Array(1000)], { sampleRateHz: 48_000, dither: false });
    const files = ['tone, "loud".wav', 'silence.wav'];
    const shown = run('measure', ...files);
    expect(shown).toMatchObject({ status: 0, stderr: '' });
    expect(shown.stdout).toMatch(
      /tone, "loud"\.wav +3\.0 +-20\.0 +0\.0 +-20\.0 +-20\.0 +-20\.0 +-20\.0 +-0\.0 +-23\.0 +3\.0/,
    );
    expect(shown.stdout).toMatch(/silence\.wav +0\.0 +-( +-)+ +0\n/);
    const [loud, silent] = JSON.parse(run('measure', '--json', ...files).stdout) as Record<string, unknown>[];
    expect(loud['integratedLufs']).toBeCloseTo(-19.993, 2);
    expect(loud['correlation']).toBeCloseTo(1, 3); // but for the dither
    expect((loud['thirdOctaves'] as unknown[]).length).toBe(31);
    expect(silent).toMatchObject({
      samplePeakDb: null,
      integratedLufs: null,
      crestDb: null,
      clippedRuns: 0,
      frames: 1000,
    });
    const [head, first, second, ...rest] = run('measure', '--csv', ...files)
      .stdout.trim()
      .split('\n');
    expect(rest).toEqual([]);
    expect(first.startsWith('"tone, ""loud"".wav",3,48000,144000,-19.99')).toBe(true);
    expect(second.split(',').length).toBe(head.split(',').length);
    expect(head).toContain('31.62Hz.levelDb');
    expect(run('measure', '--layout', '5.1', files[0])).toMatchObject({ status: 2 });
    expect(run('measure', 'missing.wav')).toMatchObject({ status: 1 });
  });

  it('compares a mix with finished tracks, and cuts excerpts of one loudness', () => {
    const [mix, bright] = [3, 5].map((power) => {
      const x = noise(96_000, power, 0.3);
      for (let i = 1; i < x.length; i++) x[i] += (power === 3 ? 0.95 : 0.5) * x[i - 1];
      return x.map((v) => v / 8);
    });
    writeWavFile(join(folder, 'dark.wav'), [mix], { sampleRateHz: 48_000 });
    writeWavFile(join(folder, 'bright.wav'), [bright], { sampleRateHz: 48_000 });
    const compared = run('compare', 'dark.wav', 'bright.wav', '--excerpts', 'excerpts');
    expect(compared).toMatchObject({ status: 0, stderr: '' });
    expect(compared.stdout).toMatch(/highs .* below the lowest reference/);
    const loudness = ['excerpt-1-dark.wav', 'excerpt-2-bright.wav'].map((name) => {
      const { channels } = decodeWav(readFileSync(join(folder, 'excerpts', name)));
      return measureLoudness(channels, 48_000);
    });
    for (const lufs of loudness) expect(lufs).toBeCloseTo(-23, 2);
    const json = JSON.parse(run('compare', '--json', 'dark.wav', 'bright.wav').stdout) as { findings: string[] };
    expect(json.findings.length).toBeGreaterThan(0);
    expect(run('compare', 'dark.wav', 'missing.wav')).toMatchObject({ status: 1 });
  });

  it('reports on a plan without keeping its sound', () => {
    writeWavFile(join(folder, 'hit.wav'), [noise(48_000, 1, 0.1)], { sampleRateHz: 48_000 });
    const plan = {
      version: 1,
      inputs: { a: { file: 'hit.wav' } },
      channels: { a: { input: 'a' } },
      output: { file: 'm.wav' },
    };
    writeFileSync(join(folder, 'hit.json'), JSON.stringify(plan));
    const reported = run('report', 'hit.json', '--folder', 'only');
    expect(reported).toMatchObject({ status: 0, stderr: '' });
    expect(readdirSync(join(folder, 'only')).sort()).toEqual(['report.csv', 'report.html', 'report.json']);
    expect(run('report', '--help').stdout).toMatch(/whether or not it has been mixed[^]*"references"[^]*"context"/);
    expect(run('report', 'missing.json')).toMatchObject({ status: 1 });
  });

  it('exits with 2 when the command or the plan is refused, with 1 when a file is', () => {
    expect(run('mix')).toMatchObject({ status: 2 });
    expect(run('mux', 'plan.json')).toMatchObject({ status: 2 });
    expect(run('simulate', 'kit2', '--bars', 'many')).toMatchObject({ status: 2 });
    expect(run('simulate', 'kit2', '--bars', '0').stderr).toContain('bars must be 1 to 512, got 0');
    writeFileSync(join(folder, 'bad.json'), '{ "version": 2 }');
    const refused = run('mix', 'bad.json');
    expect(refused).toMatchObject({ status: 2, stderr: 'batterhead: version must be 1, got 2\n' });
    expect(run('mix', 'missing.json')).toMatchObject({ status: 1 });
    expect(run('mix', 'missing.json').stderr).toContain('missing.json');
    expect(existsSync(join(folder, 'kit2'))).toBe(false);
  });
});
