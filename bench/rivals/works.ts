/**
 * The works of the contests: what the library does, what is to be reached, and who else does it. A rival that does
 * something else for the same purpose is told so: its figure is for orientation.
 */
import type { GraphName } from './web-audio.ts';

/** The library with its SIMD module, as a contestant. */
export const WITH_SIMD = 'batterhead with SIMD';

/** A ratio that is to be reached: the library's time over a rival's. */
export interface Target {
  /** Whether it is that of the library with its SIMD module. */
  readonly simd?: true;
  readonly rival: string;
  readonly most: number;
  /** Why it is not reached, where it is not. */
  readonly reason?: string;
}

export interface RivalWork {
  readonly name: string;
  readonly channels: number;
  /** What the library's process does: a kernel of `native-kernels.ts`, or a tool. */
  readonly own: { readonly kernel: string } | { readonly tool: string };
  /** In `with_scipy.py`. */
  readonly scipy?: string;
  readonly graph?: GraphName;
  /** Filters of ffmpeg by their name here. */
  readonly ffmpeg?: Readonly<Record<string, string>>;
  readonly sox?: readonly string[];
  /** What rivals do otherwise, where they do: all of them but C++, or one by its name. */
  readonly otherwise?: Readonly<Record<string, string>>;
  /** Whether the SIMD module has work in it. */
  readonly simd?: true;
  readonly targets: readonly Target[];
}

const bells = [100, 400, 1600, 6400];
const ffmpegBells = (precision: string): string =>
  bells.map((f) => `equalizer=f=${f}:t=q:w=0.7071:g=3:r=${precision}`).join(',');
const biquads = {
  scipy: 'biquads',
  graph: 'biquads',
  ffmpeg: { 'ffmpeg equalizer, f32': ffmpegBells('f32'), 'ffmpeg equalizer, f64': ffmpegBells('f64') },
  sox: bells.flatMap((f) => ['equalizer', String(f), '0.7071q', '3']),
} as const;
const IN_AND_OUT = 'the way into a block and out, with its guard and its rounding, costs as much as all of `gain`';
const WHOLE_FILE = 'scipy filters the whole file in one call';
const VECTORS = 'the filters run in vectors there, which plain JavaScript has not';
const IN_64_BITS = '16 combs and 10 allpasses in 64 bits; theirs are in 32';
const HALF_BANDS = 'half-bands that stop by more than 100 dB, in 64 bits';
const PASSES = 'each step is a pass of its own, so that a trace can show it';
const CHAIN = 'a smoother of 64 bits, each sample of which waits for the one before';
const fasterThanAll = [
  { rival: 'scipy', most: 1, reason: `${WHOLE_FILE}; ${IN_AND_OUT}` },
  ...['sox', 'Chromium', 'node-web-audio-api'].map((rival) => ({ rival, most: 1 })),
];

export const rivalWorks: readonly RivalWork[] = [
  {
    name: '4 biquads, mono',
    channels: 1,
    own: { kernel: 'biquads, mono' },
    simd: true,
    ...biquads,
    targets: [
      { rival: 'C++ -O3', most: 1.6, reason: IN_AND_OUT },
      { rival: 'C++ -O3', most: 1.2, simd: true, reason: IN_AND_OUT },
      ...fasterThanAll,
      { rival: 'ffmpeg equalizer, f64', most: 1.05, reason: IN_AND_OUT },
    ],
  },
  {
    name: '4 biquads, stereo',
    channels: 2,
    own: { kernel: 'biquads, stereo' },
    simd: true,
    ...biquads,
    targets: [
      { rival: 'C++ -O3', most: 3, reason: `two channels are two lanes of a vector there; ${IN_AND_OUT}` },
      { rival: 'C++ -O3', most: 1.5, simd: true, reason: IN_AND_OUT },
      ...fasterThanAll,
      { rival: 'ffmpeg equalizer, f64', most: 1, reason: IN_AND_OUT },
    ],
  },
  {
    name: 'gate',
    channels: 1,
    own: { kernel: 'gate' },
    ffmpeg: { 'ffmpeg agate': 'agate=threshold=0.01:range=0.0001:attack=0.5:release=100' },
    otherwise: { 'ffmpeg agate': 'root mean square, a ratio, no hold' },
    targets: [{ rival: 'C++ -O3', most: 1.5, reason: `${IN_AND_OUT}, more than the whole gate in C++` }],
  },
  {
    name: 'compressor',
    channels: 1,
    own: { kernel: 'compressor' },
    simd: true,
    graph: 'compressor',
    ffmpeg: { 'ffmpeg acompressor': 'acompressor=threshold=0.1:ratio=4:attack=10:release=100:knee=2:detection=peak' },
    sox: ['compand', '0.01,0.1', '6:-70,-70,-20,-20,0,-15'],
    otherwise: {
      'C++ -O3': 'logarithm and exponential of the C library',
      'C++ -O2': 'logarithm and exponential of the C library',
      'ffmpeg acompressor': 'another detector',
      sox: 'a transfer function in pieces',
      Chromium: 'another curve, automatic make-up, 6 ms of look-ahead',
      'node-web-audio-api': 'another curve, automatic make-up, 6 ms of look-ahead',
    },
    targets: [
      { rival: 'C++ -O3', most: 0.9, reason: PASSES },
      { rival: 'ffmpeg acompressor', most: 0.5, reason: PASSES },
      { rival: 'Chromium', most: 0.25, reason: PASSES },
      { rival: 'C++ -O3', most: 0.9, simd: true },
      { rival: 'ffmpeg acompressor', most: 0.5, simd: true, reason: `${CHAIN}; ${IN_AND_OUT}` },
      { rival: 'Chromium', most: 0.25, simd: true },
    ],
  },
  {
    name: 'limiter, 240 samples ahead',
    channels: 1,
    own: { kernel: 'limiter' },
    ffmpeg: { 'ffmpeg alimiter': 'alimiter=limit=0.5:attack=5:release=50:level=0' },
    otherwise: { 'ffmpeg alimiter': 'straight ramps, no release curve' },
    targets: [
      { rival: 'C++ -O3', most: 3 },
      {
        rival: 'ffmpeg alimiter',
        most: 1.05,
        reason: 'a gain without corners: two exact moving sums where theirs has straight ramps',
      },
    ],
  },
  {
    name: 'soft clip at 4x, linear phase',
    channels: 1,
    own: { kernel: 'softClipper' },
    simd: true,
    scipy: 'softClipper',
    graph: 'softClipper',
    ffmpeg: { 'ffmpeg asoftclip': 'asoftclip=type=tanh:oversample=4' },
    otherwise: {
      scipy: 'a shorter filter each way',
      Chromium: 'other filters, 32 bits',
      'node-web-audio-api': 'other filters, 32 bits',
      'ffmpeg asoftclip': 'other filters',
    },
    targets: [
      { rival: 'C++ -O3', most: 4, reason: VECTORS },
      { rival: 'C++ -O3', most: 1.5, simd: true, reason: 'two lanes of 64 bits, where C++ has up to eight' },
      { rival: 'ffmpeg asoftclip', most: 1 / 3, reason: HALF_BANDS },
      { rival: 'Chromium', most: 1 / 3, reason: HALF_BANDS },
      { rival: 'ffmpeg asoftclip', most: 1 / 3, simd: true, reason: HALF_BANDS },
      { rival: 'Chromium', most: 1 / 3, simd: true, reason: HALF_BANDS },
    ],
  },
  {
    name: 'Schroeder reverb, stereo',
    channels: 2,
    own: { kernel: 'schroederReverb' },
    simd: true,
    graph: 'schroederReverb',
    sox: ['reverb'],
    otherwise: {
      sox: '8 combs and 4 allpasses to a side, of other delays',
      Chromium: '8 combs to a side made of nodes, without damping and allpasses',
      'node-web-audio-api': '8 combs to a side made of nodes, without damping and allpasses',
    },
    targets: [
      { rival: 'C++ -O3', most: 1.6, reason: `every access to a ring is checked; ${IN_AND_OUT}` },
      { rival: 'C++ -O3', most: 0.8, simd: true, reason: IN_AND_OUT },
      { rival: 'sox', most: 0.5, reason: IN_64_BITS },
      { rival: 'sox', most: 0.5, simd: true, reason: IN_64_BITS },
    ],
  },
  {
    name: 'delay between two takes of 60 s',
    channels: 1,
    own: { tool: 'delay between two takes of 60 s' },
    scipy: 'correlation',
    otherwise: { scipy: 'one FFT over the whole length; no confidence, no fraction of a sample' },
    targets: [
      {
        rival: 'scipy',
        most: 1 / 3,
        reason: 'the hits are found, their agreement is judged, and a fraction of a sample is looked for besides',
      },
    ],
  },
  {
    name: 'loudness and true peak, stereo',
    channels: 2,
    own: { tool: 'loudness and true peak' },
    ffmpeg: { 'ffmpeg ebur128': 'ebur128=peak=true' },
    otherwise: { 'ffmpeg ebur128': 'true peak at 4 points to the sample, where ours has 16' },
    targets: [],
  },
];
