/** Every parameter of every block moved from end to end while a tone plays; writes `docs/proofs/clicks.md`. */
import { expect, it } from 'vitest';
import { blockTypes } from '../../src/blocks/block-types.ts';
import { maximumOf, type ParameterTable } from '../../src/core/parameters.ts';
import { equaliserBandParameters } from '../../src/filters/equaliser-bands.ts';
import { writeProofPage } from '../support/proof-page.ts';
import { clickResidues, RATE } from '../worklet/click-residue.ts';

const LIMIT_DB = -80;

/** What is shown, and not required: by the beginning of its name. */
const SHOWN: Readonly<Record<string, string>> = {
  'hardClipper.driveDb': 'a curve that bends more and more makes harmonics of its own',
  'softClipper.driveDb': 'the same',
  'saturator.driveDb': 'the same',
  'hysteresis.driveDb': 'the same; what stays magnetised grows with the level behind it',
  'hardClipper.ceilingDb': 'the same',
  'softClipper.ceilingDb': 'the same',
  'feedbackReverb.decaySeconds': 'no gain, filter or threshold: a tail of 20 s ends in 20 ms',
};

interface Case {
  readonly name: string;
  readonly block: object;
  readonly parameter: string;
  readonly low: number;
  readonly high: number;
}

function casesOf(name: string, block: object, prefix: string, table: ParameterTable): Case[] {
  return Object.entries(table).flatMap(([parameter, row]) =>
    'min' in row && !row.fixed
      ? [
          {
            name: `${name}.${parameter}`,
            block,
            parameter: `${prefix}${parameter}`,
            low: row.min,
            high: maximumOf(row, RATE),
          },
        ]
      : [],
  );
}

const BANDS = ['peaking', 'lowShelf', 'highShelf', 'lowpass', 'highpass', 'bandpass', 'notch', 'allpass'];

const cases = Object.entries(blockTypes).flatMap(([type, { parameters, takesImpulse, takesBands }]) => [
  ...(takesImpulse ? [] : casesOf(type, { type, ...(type === 'gate' && { attackMs: 5 }) }, '', parameters)),
  ...(takesBands
    ? BANDS.flatMap((band) => {
        const gain = ['peaking', 'lowShelf', 'highShelf'].includes(band) ? { gainDb: 12 } : {};
        const block = { type, bands: [{ type: band, ...gain }] };
        return casesOf(`${type} ${band}`, block, 'bands[0].', equaliserBandParameters);
      })
    : []),
]);

it('leaves less than -80 dBFS above 10 kHz', () => {
  const rows: (readonly [string, string, string, string])[] = [];
  const tooLoud: string[] = [];
  for (const { name, block, parameter, low, high } of cases) {
    let residues: readonly number[];
    try {
      residues = clickResidues(block, parameter, low, high);
    } catch (error) {
      rows.push([name, '', '', (error as Error).message]);
      continue;
    }
    const why = residues.some((residue) => residue >= LIMIT_DB) ? SHOWN[name] : undefined;
    if (why === undefined && !residues.every((residue) => residue < LIMIT_DB)) tooLoud.push(name);
    const [up, down] = residues.map((residue) => (residue < -140 ? '< -140' : residue.toFixed(1)));
    rows.push([name, up, down, why ?? '']);
  }
  const gates = [0, 0.5, 1, 2, 5, 10].map((attackMs) => [
    attackMs,
    ...clickResidues({ type: 'gate', attackMs }, 'thresholdDb', -120, 0, 0.1).map((residue) => residue.toFixed(1)),
  ]);
  writeProofPage(
    'clicks',
    'Parameters moved while a tone plays',
    [
      'Each parameter of each block, at once from one end of its range to the other, through the code that an audio thread',
      'runs; all others at their defaults, but for an attack of 5 ms of the gate. The tone has 80 Hz and full scale. The',
      'residue is the output less the two static outputs weighted by the glide, above 10 kHz, its largest sample in dBFS.',
      `Gains, filters and thresholds must stay below ${LIMIT_DB} dBFS. A gate opens as fast as its attack says, whatever opens`,
      'it; the second table has that for a tone of -20 dBFS, which the upper threshold shuts out.',
    ].join('\n'),
    [
      {
        title: `${rows.length} parameters`,
        header: ['parameter', 'up', 'down', 'remark'],
        rows,
      },
      { title: 'Threshold of a gate, by its attack', header: ['attack, ms', 'up', 'down'], rows: gates },
    ],
  );
  expect(rows.length).toBeGreaterThan(80);
  expect(tooLoud).toEqual([]);
});
