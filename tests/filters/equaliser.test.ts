/** The equaliser: laws, what its bands do, how they glide. */
import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { restoreState, type SavedState, saveState } from '../../src/core/saved-state.ts';
import { BiquadCascade } from '../../src/filters/biquad-cascade.ts';
import type { BiquadCoefficients } from '../../src/filters/biquad-coefficients.ts';
import {
  allpass,
  bandpass,
  bandpassConstantSkirt,
  highpass,
  lowpass,
  notch,
  peaking,
} from '../../src/filters/biquad-design.ts';
import { butterworthHighpass, butterworthLowpass } from '../../src/filters/butterworth.ts';
import {
  bandSections,
  type EqualiserBandOptions,
  equaliserBandParameters,
  type EqualiserBandType,
} from '../../src/filters/equaliser-bands.ts';
import { Equaliser, type EqualiserOptions, equaliserParameters } from '../../src/filters/equaliser.ts';
import {
  firstOrderHighpass,
  firstOrderHighShelf,
  firstOrderLowpass,
  firstOrderLowShelf,
} from '../../src/filters/first-order-design.ts';
import { frequencyResponse } from '../../src/filters/response.ts';
import { highShelf, lowShelf } from '../../src/filters/shelf-design.ts';
import { simdKernels } from '../../src/simd/simd-kernels.ts';
import { obeysProcessorLaws, render64, renderCut } from '../support/processor-laws.ts';
import {
  bursts,
  firstDifference,
  impulse,
  largestDifference,
  noise,
  peak,
  sine,
  toFloat32,
} from '../support/signals.ts';
import { peakAboveTenKilohertz } from './above-ten-kilohertz.ts';
import { responseOfImpulse } from './transfer.ts';

const RATES = [44100, 48000, 96000, 192000];
const GLIDE = 960; // 20 ms
const mono = { sampleRateHz: 48000, channels: 1 };
const two = { sampleRateHz: 48000, channels: 2 };
const corner = { sampleRateHz: 48000, frequencyHz: 3000 };
const resonant = { ...corner, q: 1.3 };
const belled = { ...resonant, gainDb: 7 };
const decibels = (gain: number): number => 20 * Math.log10(gain);

const filtered = (bands: readonly EqualiserBandOptions[], input: Float64Array): Float64Array =>
  render64(new Equaliser(mono, bands), [input])[0];

/** Output of one band that is set anew before sample `begin`. */
function moved(band: EqualiserBandOptions, change: EqualiserBandOptions, input: Float64Array, begin: number) {
  const equaliser = new Equaliser(mono, [band]);
  const output = new Float64Array(input.length);
  equaliser.process([input], [output], { end: begin });
  equaliser.set(ofBand(0, change));
  equaliser.process([input], [output], { start: begin });
  return output;
}

const ofBand = (b: number, options: EqualiserBandOptions): EqualiserOptions =>
  Object.fromEntries(
    Object.entries(options).map(([name, value]) => [`bands[${b}].${name}`, value]),
  ) as EqualiserOptions;

/** Bands from the options of the flat table. */
const bandsOf = (options: EqualiserOptions, count: number): EqualiserBandOptions[] =>
  Array.from({ length: count }, (_, b) =>
    Object.fromEntries(
      Object.keys(equaliserBandParameters)
        .map((name) => [name, options[`bands[${b}].${name}` as keyof EqualiserOptions]] as const)
        .filter(([, value]) => value !== undefined),
    ),
  );

describe('Equaliser', () => {
  describe.each([
    ['plain loops', two],
    ['SIMD', { ...two, simd: simdKernels() }],
  ])('in %s', (_, format) => {
    obeysProcessorLaws(format, {
      create: (options) => new Equaliser(format, bandsOf(options, 2)),
      table: equaliserParameters(2),
      lively: { 'bands[0].gainDb': 12, 'bands[1].type': 'highpass', 'bands[1].order': 5 },
      arrange: (options) => {
        const free = (type: string | undefined) => type === 'lowpass' || type === 'highpass';
        return {
          ...options,
          'bands[0].order': free(options['bands[0].type']) ? options['bands[0].order'] : 2,
          'bands[1].order': free(options['bands[1].type']) ? options['bands[1].order'] : 2,
        };
      },
    });
  });

  const designs: Readonly<Record<EqualiserBandType, () => BiquadCoefficients>> = {
    peaking: () => peaking(belled),
    lowShelf: () => lowShelf(belled),
    highShelf: () => highShelf(belled),
    lowpass: () => lowpass(resonant),
    highpass: () => highpass(resonant),
    bandpass: () => bandpass(resonant),
    bandpassConstantSkirt: () => bandpassConstantSkirt(resonant),
    notch: () => notch(resonant),
    allpass: () => allpass(resonant),
    firstOrderLowpass: () => firstOrderLowpass(corner),
    firstOrderHighpass: () => firstOrderHighpass(corner),
    firstOrderLowShelf: () => firstOrderLowShelf({ ...corner, gainDb: 7 }),
    firstOrderHighShelf: () => firstOrderHighShelf({ ...corner, gainDb: 7 }),
  };

  it('knows every type of the table, and gives each the bits of its own design', () => {
    const input = noise(500);
    expect(Object.keys(designs).sort()).toEqual([...equaliserBandParameters.type.choices].sort());
    for (const type of equaliserBandParameters.type.choices) {
      const expected = render64(new BiquadCascade(mono, [designs[type]()]), [input])[0];
      const band = { type, frequencyHz: 3000, q: 1.3, gainDb: 7 };
      expect(firstDifference(filtered([band], input), expected), type).toBe(-1);
    }
  });

  it('makes a lowpass or a highpass of another order than 2 a Butterworth filter', () => {
    const input = noise(500);
    for (const order of [1, 3, 4, 8, 16]) {
      const low = render64(new BiquadCascade(mono, butterworthLowpass({ ...corner, order })), [input])[0];
      const high = render64(new BiquadCascade(mono, butterworthHighpass({ ...corner, order })), [input])[0];
      expect(firstDifference(filtered([{ type: 'lowpass', frequencyHz: 3000, order }], input), low)).toBe(-1);
      expect(firstDifference(filtered([{ type: 'highpass', frequencyHz: 3000, order, q: 9 }], input), high)).toBe(-1);
    }
  });

  it('takes a second-order section for every two orders', () => {
    expect([1, 2, 3, 4, 15, 16].map(bandSections)).toEqual([1, 1, 2, 2, 8, 8]);
  });

  it.each(RATES)('answers an impulse at %i Hz with the sum in dB of its bands', (sampleRateHz) => {
    const frequenciesHz = [20, 50, 100, 1000, 3000, 8000, 15000, 20000];
    const bands: EqualiserBandOptions[] = [
      { type: 'highpass', frequencyHz: 35, order: 4 },
      { type: 'lowShelf', frequencyHz: 110, gainDb: 4 },
      { frequencyHz: 420, q: 1.4, gainDb: -6 },
      { type: 'highShelf', frequencyHz: 8000, gainDb: 3 },
    ];
    const equaliser = new Equaliser({ sampleRateHz, channels: 1 }, bands);
    const [response] = render64(equaliser, [impulse(2 * equaliser.tailSamples)]);
    const stated = frequencyResponse(
      [
        ...butterworthHighpass({ sampleRateHz, frequencyHz: 35, order: 4 }),
        lowShelf({ sampleRateHz, frequencyHz: 110, gainDb: 4 }),
        peaking({ sampleRateHz, frequencyHz: 420, q: 1.4, gainDb: -6 }),
        highShelf({ sampleRateHz, frequencyHz: 8000, gainDb: 3 }),
      ],
      { sampleRateHz, frequenciesHz },
    );
    const measured = responseOfImpulse(response, sampleRateHz, frequenciesHz);
    expect(largestDifference(measured, stated.magnitudeDb)).toBeLessThan(1e-6);
    expect(peak(response.subarray(equaliser.tailSamples)) / peak(response)).toBeLessThan(1e-6);
  });

  it('names a fault by its path', () => {
    const bands = [{}, { type: 'peaking' as const }];
    const refused: [() => unknown, string][] = [
      [() => new Equaliser(mono, [{}, { frequencyHz: 3 }]), 'bands[1].frequencyHz must be 10 to 23520, got 3'],
      [() => new Equaliser(mono, [{ order: 4 }]), 'bands[0].order must be 2 for the type peaking, got 4'],
      [() => new Equaliser(mono, [{ type: 'bell' as never }]), 'bands[0].type must be peaking or lowShelf or '],
      [() => new Equaliser(mono, 'x' as never), 'Equaliser: bands must be an array, got "x"'],
      [() => new Equaliser(mono, [{}, { order: 4 }]), 'bands[1].order must be 2 for the type peaking, got 4'],
      [() => new Equaliser(mono, [null as never]), 'Equaliser: bands[0] must be an object, got null'],
      [() => new Equaliser(mono, [{}, 5 as never]), 'Equaliser: bands[1] must be an object, got 5'],
      [
        () =>
          new Equaliser(
            mono,
            Array.from({ length: 65 }, () => ({})),
          ),
        'number of bands must be 0 to 64, got 65',
      ],
      [
        () => new Equaliser(mono, [{ gain: 1 } as never]),
        'bands[0].gain is unknown; the nearest name is bands[0].gainDb',
      ],
      [
        () => new Equaliser(mono, bands).set({ 'bands[2].q': 1 }),
        'bands[2].q is unknown; the nearest name is bands[0].q',
      ],
      [() => new Equaliser(mono, bands).set({ 'bands[1].order': 3 }), 'bands[1].order is fixed at construction'],
    ];
    for (const [attempt, message] of refused) expect(attempt).toThrow(message);
  });

  describe('glides', () => {
    it('design every 16 samples along a raised cosine in log frequency, log q and dB, and draw straight lines', () => {
      const from = { frequencyHz: 700, q: 1.5, gainDb: -9 };
      const to = { frequencyHz: 1200, q: 2.5, gainDb: 6 };
      const begin = 501; // not on any grid
      const input = noise(3000, 2);
      const designAt = (n: number) => {
        const weight = 0.5 - 0.5 * Math.cos((Math.PI * n) / GLIDE);
        return peaking({
          sampleRateHz: 48000,
          frequencyHz: from.frequencyHz * (to.frequencyHz / from.frequencyHz) ** weight,
          q: from.q * (to.q / from.q) ** weight,
          gainDb: from.gainDb + weight * (to.gainDb - from.gainDb),
        });
      };
      const expected = new Float64Array(input.length);
      const past = (x: Float64Array, n: number) => (n < 0 ? 0 : x[n]);
      for (let n = 0; n < input.length; n++) {
        const done = Math.min(Math.max(n - begin + 1, 0), GLIDE);
        const step = Math.floor(done / 16) * 16;
        const [a, b] = [designAt(step), designAt(Math.min(step + 16, GLIDE))];
        const k = (name: keyof BiquadCoefficients) => a[name] + ((done - step) / 16) * (b[name] - a[name]);
        expected[n] =
          k('b0') * input[n] +
          k('b1') * past(input, n - 1) +
          k('b2') * past(input, n - 2) -
          k('a1') * past(expected, n - 1) -
          k('a2') * past(expected, n - 2);
      }
      expect(largestDifference(moved(from, to, input, begin), expected)).toBeLessThan(1e-12); // some 1e3 roundings
    });

    it('arrive at the very bits of a band made so', () => {
      for (const sampleRateHz of RATES) {
        const format = { sampleRateHz, channels: 1 }; // at 44.1 kHz the last step has 2 samples
        const band = { frequencyHz: 500, q: 1, gainDb: 3 };
        const change = { frequencyHz: 653.3, q: 1.1, gainDb: -4.7 };
        const equaliser = new Equaliser(format, [band]);
        equaliser.set(ofBand(0, change));
        render64(equaliser, [new Float64Array(sampleRateHz / 50)]);
        const input = noise(500, 2);
        const made = render64(new Equaliser(format, [change]), [input])[0];
        expect(firstDifference(render64(equaliser, [input])[0], made)).toBe(-1);
      }
    });

    it('cross-fade a move of more than an octave, or of q by more than 2', () => {
      const input = noise(4000, 3);
      for (const [from, to] of [
        [
          { frequencyHz: 1000, gainDb: 6 },
          { frequencyHz: 2001, gainDb: 6 },
        ],
        [
          { frequencyHz: 1000, gainDb: 6 },
          { frequencyHz: 499, gainDb: -6 },
        ],
        [{ frequencyHz: 1000, gainDb: 6, q: 1 }, { q: 2.001 }],
        [{ frequencyHz: 1000, gainDb: 6, q: 1 }, { q: 0.499 }],
      ] as const) {
        const before = filtered([from], input);
        const after = filtered([{ ...from, ...to }], input.slice(1000));
        const expected = before.map((y, n) => {
          const weight = 0.5 - 0.5 * Math.cos((Math.PI * Math.min(Math.max(n - 999, 0), GLIDE)) / GLIDE);
          return n < 1000 ? y : y + weight * (after[n - 1000] - y);
        });
        expect(largestDifference(moved(from, to, input, 1000), expected)).toBeLessThan(1e-13);
      }
    });

    // An 80 Hz tone at full scale: -90 dBFS is the last bit of a 16-bit recording.
    it.each<[string, EqualiserBandOptions, EqualiserBandOptions]>([
      ['a low-pass by an octave', { type: 'lowpass', frequencyHz: 10_000 }, { frequencyHz: 5001 }],
      ['a low-pass from 10 kHz to 20 Hz', { type: 'lowpass', frequencyHz: 10_000 }, { frequencyHz: 20 }],
      ['a low-pass from 20 Hz to 10 kHz', { type: 'lowpass', frequencyHz: 20 }, { frequencyHz: 10_000 }],
      ['a high-pass of order 6', { type: 'highpass', frequencyHz: 40, order: 6 }, { frequencyHz: 79 }],
      ['a bell by 36 dB', { frequencyHz: 80, gainDb: -18 }, { gainDb: 18 }],
      ['a shelf by 24 dB', { type: 'lowShelf', frequencyHz: 100, gainDb: 12 }, { gainDb: -12 }],
      ['a notch away from the tone', { type: 'notch', frequencyHz: 80, q: 5 }, { frequencyHz: 150 }],
      ['q by a factor of 2', { type: 'bandpass', frequencyHz: 90, q: 3 }, { q: 6 }],
    ])('do not click: %s', (_, from, to) => {
      const input = sine(13_000, 80, 48000);
      for (let phase = 0; phase < 8; phase++) {
        const begin = 9600 + 75 * phase; // eighths of a period
        const around = moved(from, to, input, begin).subarray(begin - 600, begin + 2500);
        expect(peakAboveTenKilohertz(around, 48000)).toBeLessThan(-100);
      }
    });

    it('of a low-pass never overshoot by more than 3 dB, from 10 kHz to 20 Hz and anywhere else', () => {
      fc.assert(
        fc.property(
          fc.constantFrom(40, 100, 400, 2000),
          fc.double({ min: 0, max: 9.9, noNaN: true }),
          fc.oneof(
            fc.constant(-9),
            fc.double({ min: -9, max: 9, noNaN: true }),
            fc.double({ min: -1, max: 1, noNaN: true }),
          ),
          fc.integer({ min: 0, max: 500 }),
          (toneHz, octaves, move, late) => {
            const frequencyHz = 20 * 2 ** octaves;
            const target = Math.min(20_000, Math.max(20, frequencyHz * 2 ** move));
            const input = sine(10_000, toneHz, 48000);
            const output = moved({ type: 'lowpass', frequencyHz }, { frequencyHz: target }, input, 6000 + late);
            expect(decibels(peak(output.subarray(6000)))).toBeLessThan(3); // the frozen filters never raise a tone
          },
        ),
        { numRuns: 100, examples: [[100, Math.log2(500), -Math.log2(500), 0]] },
      );
    });

    it('a set during a glide goes on from the place reached', () => {
      const input = sine(8000, 80, 48000);
      const equaliser = new Equaliser(mono, [{ frequencyHz: 80, gainDb: 0 }]);
      const output = new Float64Array(8000);
      equaliser.process([input], [output], { end: 1000 });
      equaliser.set({ 'bands[0].gainDb': 18 });
      equaliser.process([input], [output], { start: 1000, end: 1300 });
      equaliser.set({ 'bands[0].gainDb': 0 });
      equaliser.process([input], [output], { start: 1300 });
      expect(peakAboveTenKilohertz(output, 48000)).toBeLessThan(-100);
      // Of 18 dB the glide had done 1/2 - cos(300 pi / 960) / 2 = 22 %: 4 dB; a jump to the end would show 18.
      expect(decibels(peak(output.subarray(1000, 2500)))).toBeLessThan(4.5);
      expect(largestDifference(output.subarray(6000), input.subarray(6000))).toBeLessThan(1e-9); // e^-27 of a bell's ringing
    });

    it('a set during a cross-fade waits for its end, and the latest wins', () => {
      const input = noise(6000, 4);
      const run = (calls: readonly [number, EqualiserOptions][]) => {
        const equaliser = new Equaliser(mono, [{ frequencyHz: 100, gainDb: 9 }]);
        const output = new Float64Array(6000);
        let start = 0;
        for (const [at, options] of calls) {
          equaliser.process([input], [output], { start, end: at });
          equaliser.set(options);
          start = at;
        }
        equaliser.process([input], [output], { start });
        return output;
      };
      const far: [number, EqualiserOptions] = [1000, { 'bands[0].frequencyHz': 3000 }];
      for (const last of [{ 'bands[0].frequencyHz': 4000 }, { 'bands[0].frequencyHz': 400 }]) {
        const late = run([far, [1200, { 'bands[0].frequencyHz': 9000 }], [1500, last]]);
        expect(firstDifference(late, run([far, [1000 + GLIDE, last]]))).toBe(-1);
      }
      const back = run([far, [1200, { 'bands[0].frequencyHz': 9000 }], [1500, { 'bands[0].frequencyHz': 3000 }]]);
      expect(firstDifference(back, run([far]))).toBe(-1);
    });

    it('leave the other bands alone, and a set that changes nothing changes nothing', () => {
      const input = noise(3000, 5);
      const bands = [
        { frequencyHz: 200, gainDb: 5 },
        { frequencyHz: 5000, gainDb: -5 },
      ];
      const equaliser = new Equaliser(mono, bands);
      equaliser.set({ 'bands[1].gainDb': -5 });
      equaliser.set({});
      expect(firstDifference(render64(equaliser, [input])[0], filtered(bands, input))).toBe(-1);
    });

    it('a saved state holds every place of a way', () => {
      const input = noise(6000, 6);
      const first = { type: 'lowpass', frequencyHz: 8000, q: 0.8 } as const;
      const calls: [number, EqualiserOptions][] = [
        [700, { 'bands[0].frequencyHz': 6000 }],
        [1000, { 'bands[0].frequencyHz': 60 }],
        [1300, { 'bands[0].frequencyHz': 90 }],
        [1400, { 'bands[0].frequencyHz': 900 }],
      ];
      for (const saveAt of [600, 705, 800, 1100, 1350, 1800, 2100, 3000]) {
        const equaliser = new Equaliser(mono, [first]);
        const output = new Float64Array(6000);
        let start = 0;
        for (const [at, options] of calls.filter(([at]) => at < saveAt)) {
          equaliser.process([input], [output], { start, end: at });
          equaliser.set(options);
          start = at;
        }
        equaliser.process([input], [output], { start, end: saveAt });
        const saved = JSON.stringify(saveState(equaliser));
        equaliser.process([input], [output], { start: saveAt });
        const other = new Equaliser(mono, [{ type: 'lowpass' }]);
        restoreState(other, JSON.parse(saved) as SavedState);
        expect(firstDifference(render64(other, [input.slice(saveAt)])[0], output.subarray(saveAt))).toBe(-1);
        expect(other.tailSamples).toBe(equaliser.tailSamples);
        expect(() => restoreState(new Equaliser(mono, [{}]), JSON.parse(saved) as SavedState)).toThrow(
          /bands\[0\].type/,
        );
      }
    });
  });

  it('comes to exact rest after the signal, whatever way it went', () => {
    const equaliser = new Equaliser(mono, [
      { type: 'highpass', frequencyHz: 40, order: 3 },
      { frequencyHz: 90, gainDb: 9 },
    ]);
    equaliser.set({ 'bands[1].frequencyHz': 1000 });
    render64(equaliser, [noise(3000, 7)]);
    const [rest] = render64(equaliser, [new Float64Array(48000 * 3)]);
    expect(peak(rest.subarray(48000 * 2))).toBe(0);
  });

  it('stays bounded under random automation of every parameter, with the same bits for any cut', () => {
    const place = fc.record({
      'bands[0].frequencyHz': fc.double({ min: 0, max: 10, noNaN: true }).map((octaves) => 20 * 2 ** octaves),
      'bands[0].q': fc.double({ min: -1, max: 1, noNaN: true }).map((decades) => 10 ** decades),
      'bands[0].gainDb': fc.double({ min: -12, max: 12, noNaN: true }),
    });
    const change = fc.tuple(fc.integer({ min: 1, max: 400 }), place);
    fc.assert(
      fc.property(
        fc.constantFrom(...equaliserBandParameters.type.choices),
        fc.array(change, { minLength: 1, maxLength: 20 }),
        fc.integer({ min: 1, max: 1e6 }),
        (type, changes, seed) => {
          const input = toFloat32(bursts(8400, seed, 0.1));
          const [one, other] = [seed, seed + 1].map((cut) => {
            const equaliser = new Equaliser(mono, [{ type }]);
            let sample = 0;
            const calls = Object.fromEntries(
              changes.map(([gap, options]) => [(sample += gap), () => equaliser.set(options)]),
            );
            return renderCut(equaliser, [input], cut, undefined, calls)[0];
          });
          expect(firstDifference(one, other)).toBe(-1);
          // The loudest frozen band has q = 10 and 12 dB; noise of peak 2 may add up coherently to 20 dB more.
          expect(decibels(peak(one))).toBeLessThan(6 + 20 + 12 + 20);
        },
      ),
      { numRuns: 40 },
    );
  });
});
