/** The page `docs/aliasing.md`: what folds back, what each remedy costs, and which to take. */

/** One way to run a curve, as measured. */
export interface Row {
  readonly curve: 'hard' | 'cubic' | 'tanh';
  readonly antialiasing: 'none' | 'firstAntiderivative' | 'secondAntiderivative' | 'cornerCorrection';
  readonly oversampling: 1 | 2 | 4 | 8 | 16;
  /** Alias of 997 Hz and of 4987 Hz, in dBc. */
  readonly lowDb: number;
  readonly highDb: number;
  /** Error of the 17th harmonic of 997 Hz. */
  readonly harmonicDb: number;
  readonly latencySamples: number;
  readonly nanoseconds: number;
}

const title = { hard: 'Hard curve', cubic: 'Cubic curve', tanh: 'Hyperbolic tangent' };

/** Below this, rounding and the measurement's own floor are what is seen. */
const FLOOR_DB = -140;

const decibels = (db: number): string => (db < FLOOR_DB ? `< ${FLOOR_DB}` : db.toFixed(1));

const signed = (db: number): string => (Math.abs(db) < 0.005 ? '0.00' : `${db > 0 ? '+' : ''}${db.toFixed(2)}`);

function table(curve: Row['curve'], rows: readonly Row[]): string {
  const header = [
    'antialiasing',
    'oversampling',
    '997 Hz, dBc',
    '4987 Hz, dBc',
    '17th harmonic, dB',
    'latency, samples',
    'ns per sample',
  ];
  const lines = rows
    .filter((row) => row.curve === curve)
    .map((row) => [
      `\`${row.antialiasing}\``,
      `${row.oversampling}x`,
      decibels(row.lowDb),
      decibels(row.highDb),
      signed(row.harmonicDb),
      row.latencySamples,
      row.nanoseconds.toFixed(0),
    ]);
  const all = [header, ['---', '---', '---:', '---:', '---:', '---:', '---:'], ...lines];
  return `## ${title[curve]}\n\n${all.map((cells) => `| ${cells.join(' | ')} |`).join('\n')}`;
}

export function aliasingPage(rows: readonly Row[]): string {
  const found = (antialiasing: Row['antialiasing'], oversampling: Row['oversampling']): string =>
    decibels(
      rows.find((r) => r.curve === 'hard' && r.antialiasing === antialiasing && r.oversampling === oversampling)
        ?.highDb ?? NaN,
    );
  const harmonic = (antialiasing: Row['antialiasing'], oversampling: Row['oversampling']): string =>
    signed(
      rows.find((r) => r.curve === 'hard' && r.antialiasing === antialiasing && r.oversampling === oversampling)
        ?.harmonicDb ?? NaN,
    );
  return `# Aliasing: what folds back, and what to do about it

A curve makes harmonics without end. Those above half the sample rate fold back and lie between the notes, where no
instrument has them: on cymbals and bright snares that is a grey hiss under every hit. The clippers have two remedies,
which add up:

- \`oversampling\` runs the curve at 2, 4, 8 or 16 times the sample rate, so that what folds back is only what lies beyond
  the higher rate;
- \`antialiasing\` lets less come about at that rate.

| \`antialiasing\` | what it does | what it costs in sound |
| --- | --- | --- |
| \`none\` | the curve, sample by sample | nothing |
| \`firstAntiderivative\` | the mean of the curve over the way between two samples | from 2x on what is not clipped passes flat within 0.01 dB; topmost harmonics come out louder, ${harmonic('firstAntiderivative', 2)} dB at 2x, ${harmonic('firstAntiderivative', 4)} at 4x. Alone it takes highs: 1.3 dB at 8 kHz, 9.9 dB at 19 kHz |
| \`secondAntiderivative\` | a weighted mean over three samples | the same, ${harmonic('secondAntiderivative', 2)} dB at 2x and ${harmonic('secondAntiderivative', 4)} at 4x; alone it has a notch at a third of the sample rate: not for music |
| \`cornerCorrection\` | the curve, its corners rounded off between samples | ${harmonic('cornerCorrection', 2)} dB at 2x, ${harmonic('cornerCorrection', 4)} at 4x; what stays below the corner passes untouched. For curves with a corner: \`hard\`, \`cubic\` |

The averages of the antiderivative forms take highs from what passes unclipped; the clippers give that back. Harmonics that
come about at the corners lose less to the average than they are given back, hence what stands in the last column.

Which to take:

- **Default: \`none\` at 8x.** For drums, and for \`tanh\` always, it is enough: -90 dBc and less.
- **Bright sources into the hard or cubic curve (cymbals, overheads, a drum bus): \`cornerCorrection\` at 4x.** It costs no
  more than \`none\` at 8x and leaves ${found('cornerCorrection', 4)} dBc of 4987 Hz in place of ${found('none', 4)}. The harmonics keep their level.
- **The least alias at 4x: \`secondAntiderivative\`**, ${found('secondAntiderivative', 4)} dBc, where brighter topmost harmonics do not matter.
- **Little processor time: \`cornerCorrection\` or \`secondAntiderivative\` at 2x**, ${found('cornerCorrection', 2)} and ${found('secondAntiderivative', 2)} dBc.
- **No time at all: \`cornerCorrection\` alone**, 3 samples late, which comes within 6 dB of \`none\` at 2x.

At 997 Hz, hard, 8x, an ideal brick-wall filter leaves -90.7 to -91.3 dBc: what folds back there lies below the higher rate
already, and only \`antialiasing\` can lower it. The figures of 4987 Hz at 8x and 16x are no merit: 77 times
that frequency lies 1 Hz from 384 kHz, so that what folds back hides beside the harmonics, in the 25 Hz left out.

How it is counted: worst line from 20 Hz to 20 kHz that is no harmonic, relative to the fundamental; a sine of 0 dBFS driven
by 12 dB at 48 kHz; Kaiser window of beta 28 over 65536 points, 25 Hz to either side of a harmonic left out. Times are those
of the processor that wrote this page, per sample of one channel; compare them with each other, not with another machine's.

Written by \`npm run bench:alias\`.

${(['hard', 'cubic', 'tanh'] as const).map((curve) => table(curve, rows)).join('\n\n')}

Sources: J. D. Parker, V. Zavalishin, E. Le Bivic, Proc. DAFx-16, 2016; S. Bilbao, F. Esqueda, J. D. Parker, V. Valimaki, IEEE
Signal Processing Letters 24(7), 2017; F. Esqueda, S. Bilbao, V. Valimaki, IEEE Transactions on Signal Processing 64(20), 2016.
`;
}
