/** The processors in a scope that is made here: what an audio thread would do with them. */
import { describe, expect, it } from 'vitest';
import { parsePlan } from '../../src/mix/parse-plan.ts';
import { mixerLayout, readMixerMeters } from '../../src/worklet/mixer-meters.ts';
import { meterLength, readMeterValues } from '../../src/worklet/meter-layout.ts';
import { madeScope } from './made-scope.ts';

const quantum = (value = 0) => [new Float32Array(128).fill(value)];

describe('processors', () => {
  it('are one for chains and one for every block type', () => {
    const { classes } = madeScope();
    expect([...classes.keys()]).toEqual(
      expect.arrayContaining(['batterhead-chain', 'batterhead-gate', 'batterhead-limiter']),
    );
  });

  it.each([
    ['batterhead-chain', [{ type: 'gain' }]],
    ['batterhead-gain', [{ type: 'gain', gainDb: 0 }]],
  ])('%s goes on without an input, so that one can come late, until it is closed', (name, chain) => {
    const { make, tell } = madeScope();
    const processor = make(name, { chain });
    const run = (input: Float32Array[]) => processor.process([input, []], [quantum()], { gainDb: Float32Array.of(0) });
    expect([run([]), run([]), run(quantum(1)), run([])]).toEqual([true, true, true, true]);
    tell(processor, { kind: 'close' });
    expect(run([])).toBe(false);
  });

  it('follow their AudioParams', () => {
    const { make } = madeScope();
    const processor = make('batterhead-gain', { chain: [{ type: 'gain', gainDb: 0 }] });
    const output = quantum();
    for (let q = 0; q < 10; q++) processor.process([quantum(1), []], [output], { gainDb: Float32Array.of(-6) });
    expect(output[0][127]).toBeCloseTo(10 ** (-6 / 20), 6);
  });

  it('tell the page what they refuse, and go on', () => {
    const { make, tell, posted } = madeScope();
    const processor = make('batterhead-chain', { chain: [{ type: 'gain' }] });
    tell(processor, { kind: 'set', block: 0, options: { gainDb: 1000 }, frame: 0 });
    expect(posted[0].message).toContain('gainDb must be -120 to 60, got 1000');
    expect(processor.process([quantum(1), []], [quantum()])).toBe(true);
  });

  it('post meters every so often, and wait when no buffer has come back', () => {
    const { make, tell, posted } = madeScope();
    const processor = make('batterhead-chain', { chain: [{ type: 'gain' }], meters: { everyFrames: 256 } });
    const run = (value: number, times: number) => {
      for (let q = 0; q < times; q++) processor.process([quantum(value), []], [quantum()]);
    };
    run(0.5, 2);
    run(0.25, 2);
    expect(posted.map(({ values }) => readMeterValues(values).peakIn)).toEqual([0.5, 0.25]);
    run(0.75, 1);
    run(0.1, 9);
    expect(posted).toHaveLength(2); // both buffers are underway
    tell(processor, { kind: 'meters', values: new Float64Array(meterLength(1)) });
    run(0.1, 2);
    expect(readMeterValues(posted[2].values).peakIn).toBe(0.75);
  });
  it('mix, take values, post meters, and end when they are closed', () => {
    const { scope, make, tell, posted } = madeScope();
    const plan = parsePlan({
      version: 1,
      inputs: { a: { file: 'a.wav' } },
      channels: { a: { input: 'a' } },
      output: { file: 'mix.wav' },
    });
    const processor = make('batterhead-mixer', {
      plan,
      inputs: [{ name: 'a', channels: 1 }],
      alignment: { moves: {}, leadSamples: 0 },
      impulses: {},
      startFrame: 0,
      meters: { everyFrames: 128 },
    });
    const output = [new Float32Array(128), new Float32Array(128)];
    const run = () => {
      const open = processor.process([quantum(0.5)], [output]);
      scope.currentFrame += 128;
      return open;
    };
    expect(run()).toBe(true);
    expect(output[0][127]).toBeCloseTo(0.5 * Math.SQRT1_2, 6);
    expect(readMixerMeters(posted[0].values, mixerLayout(plan)).strips['channels.a'].peak).toBe(0.5);
    const event = { name: 'gainDb', value: -6, band: -1, send: -1 };
    tell(processor, { kind: 'value', strip: 'channels.a', block: -1, frame: 0, event });
    tell(processor, { kind: 'meters', values: posted[0].values });
    for (let q = 0; q < 10; q++) run();
    expect(output[0][127]).toBeCloseTo(0.5 * Math.SQRT1_2 * 10 ** (-6 / 20), 6);
    expect(posted).toHaveLength(3);
    tell(processor, { kind: 'close' });
    expect(run()).toBe(false);
  });
});
