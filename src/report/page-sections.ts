/**
 * Sections of a report's page but for the players and the strips.
 * @module
 */
import type { ProgrammeFigures } from '../meters/programme-meter.ts';
import { figure, NO_FIGURE, signed } from './figure.ts';
import { type Content, markup, type Markup, tableOf } from './markup.ts';
import type { FileReport, MixFileReport } from './mix-file-report.ts';
import { loudnessPicture, marginPicture, maskingPicture, spectrumPicture } from './pictures.ts';

/** The main figures of the mix. */
export function keyFigures({ mix, speed }: MixFileReport): Markup {
  const { figures } = mix;
  const all: readonly (readonly [string, string])[] = [
    ['Integrated loudness', `${figure(figures.integratedLufs, 1)} LUFS`],
    ['True peak', `${figure(figures.truePeakDb, 1)} dBTP`],
    ['Loudness range', `${figure(figures.rangeLu, 1)} LU`],
    ['Peak to loudness', `${figure(figures.peakToLoudnessDb, 1)} dB`],
    ['Transient to sustain', `${figure(figures.transientToSustainDb, 1)} dB`],
    ['Length', `${figure(speed.mixSeconds, 1)} s`],
  ];
  return markup`<dl class="key">
    ${all.map(
      ([name, value]) =>
        markup`<div>
          <dt>${name}</dt>
          <dd>${value}</dd>
        </div>`,
    )}
  </dl>`;
}

export function warningList({ warnings }: MixFileReport): Markup {
  if (warnings.length === 0) return markup`<p>Nothing deserves a warning.</p>`;
  return markup`<ol class="warnings">
    ${warnings.map(({ harm, text }) => markup`<li class="${harm}"><b>${harm}</b> <span>${text}</span></li>`)}
  </ol>`;
}

/** The mix beside the unprocessed mix, then both over time and over frequency. */
export function soundSection(report: MixFileReport): Markup {
  const { mix, unprocessed } = report;
  const row = (name: string, unit: string, read: (figures: ProgrammeFigures) => number | null, digits = 1) => [
    name,
    figure(read(mix.figures), digits),
    figure(read(unprocessed.figures), digits),
    unit,
  ];
  const rows = [
    row('Integrated loudness', 'LUFS', ({ integratedLufs }) => integratedLufs),
    row('Loudest 400 ms', 'LUFS', ({ maximumMomentaryLufs }) => maximumMomentaryLufs),
    row('Loudest 3 s', 'LUFS', ({ maximumShortTermLufs }) => maximumShortTermLufs),
    row('Loudness range', 'LU', ({ rangeLu }) => rangeLu),
    row('True peak', 'dBTP', ({ truePeakDb }) => truePeakDb),
    row('Sample peak', 'dBFS', ({ samplePeakDb }) => samplePeakDb),
    row('Peak to loudness', 'dB', ({ peakToLoudnessDb }) => peakToLoudnessDb),
    row('Crest factor', 'dB', ({ crestDb }) => crestDb),
    row('Transient to sustain', 'dB', ({ transientToSustainDb }) => transientToSustainDb),
    row('RMS (a square wave of full scale is 0)', 'dBFS', ({ rmsDb }) => rmsDb),
    row('RMS (a sine of full scale is 0)', 'dBFS', ({ rmsAes17Db }) => rmsAes17Db),
    row('Correlation of left and right', '', ({ correlation }) => correlation, 2),
    row('Clipped runs', '', ({ clippedRuns }) => clippedRuns, 0),
  ];
  const { gainDb } = unprocessed;
  return markup`<p>
      The unprocessed mix has the same faders, pans and buses, but no alignment, no block and no send. It was changed by
      ${signed(gainDb, 1)} dB to the loudness of the mix.
    </p>
    ${tableOf('Figures of both', ['figure', 'mix', 'unprocessed', 'unit'], rows, { texts: [0, 3] })}
    ${loudnessPicture(report)} ${spectrumPicture(report)}`;
}

export function referenceSection({ references }: MixFileReport): Markup {
  if (!references) return markup`<p>The plan names no references.</p>`;
  const { comparison, files } = references;
  if (!comparison) return markup`<p>The mix is silent, or too short to be compared.</p>`;
  const { gainsDb, quantities, findings } = comparison;
  const rows = quantities
    .filter(({ kind }) => kind !== 'band')
    .map(({ name, value, least, greatest, unit, verdict }): Content[] => {
      const digits = unit === '' ? 2 : 1;
      return [name, figure(value, digits), figure(least, digits), figure(greatest, digits), unit, verdict];
    });
  const gains = Object.entries(gainsDb).map(([name, gainDb]) => `${name} ${signed(gainDb, 1)} dB`);
  return markup`<p>
      ${String(files.length)} references; to hear them as loud as the mix, change them by: ${gains.join(', ')}.
    </p>
    ${listOf(findings, 'The mix lies within its references in every quantity.')} ${marginPicture(quantities)}
    ${tableOf('Dynamics and width', ['quantity', 'mix', 'least reference', 'greatest', 'unit', 'verdict'], rows, {
      texts: [0, 4, 5],
    })}`;
}

export function maskingSection({ context }: MixFileReport): Markup {
  if (!context) return markup`<p>The plan names no other instruments (context).</p>`;
  const { parts } = context;
  return markup`<p>
      Beside ${Object.keys(context.files).join(', ')}. The model is that of spreading over critical bands; it does not
      know how loud the loudspeakers are.
    </p>
    ${parts.map(
      (part) =>
        markup`<h3>${part.name}</h3>
          ${listOf(part.facts, 'Nothing of it is covered in more than a quarter of the time.')} ${maskingPicture(part)}`,
    )}`;
}

function listOf(facts: readonly string[], otherwise: string): Markup {
  return facts.length === 0
    ? markup`<p>${otherwise}</p>`
    : markup`<ul>
        ${facts.map((fact) => markup`<li>${fact}</li>`)}
      </ul>`;
}

/** The pairs of microphones, and their pictures. */
export function alignmentSection({ mix }: MixFileReport, pictures: readonly Markup[]): Markup {
  const { alignment, sampleRateHz } = mix;
  const moves = Object.entries(alignment.moves);
  if (moves.length === 0) return markup`<p>The plan moves nothing.</p>`;
  const moved = moves.map(([name, { delaySamples, polarity }]) => [
    name,
    figure(delaySamples, 2),
    figure((1000 * delaySamples) / sampleRateHz, 3),
    polarity < 0 ? 'inverted' : 'as it is',
  ]);
  const pairs = alignment.pairs.map((pair) => [
    `${pair.reference} + ${pair.other}`,
    pair.drum,
    figure(pair.delaySamples, 2),
    pair.polarity < 0 ? 'inverted' : 'same',
    figure(pair.confidence, 2),
    figure(pair.residualSamples, 2),
    figure(pair.low.gainDb, 1),
    [pair.note, ...pair.reasons].filter((text) => text !== '').join('; ') || NO_FIGURE,
  ]);
  return markup`${tableOf(
    'How the microphones are moved',
    ['microphone', 'later by samples', 'ms', 'polarity'],
    moved,
    {
      texts: [0, 3],
    },
  )}
  ${
    pairs.length === 0
      ? markup`<p>All moves are set by hand.</p>`
      : tableOf(
          'Pairs, before the moves',
          ['pair', 'drum', 'later by', 'polarity', 'confidence', 'left over', 'lows gain dB', 'remarks'],
          pairs,
          { texts: [0, 1, 3], long: 7 },
        )
  }
  ${pictures}`;
}

export function hitSection({ mix: { hits = {} } }: MixFileReport): Markup {
  const rows = Object.entries(hits).map(([drum, { microphone, hits: count, rejected, layered, bleed }]) => [
    drum,
    microphone,
    figure(count, 0),
    figure(rejected, 0),
    figure(layered?.samples, 0),
    figure(bleed?.bleedDownDb, 1),
  ]);
  if (rows.length === 0) return markup`<p>The plan looks for no hits.</p>`;
  const head = ['drum', 'microphone', 'hits', 'taken for bleed', 'samples layered', 'bleed down dB'];
  return tableOf('Hits', head, rows, { texts: [0, 1] });
}

/** Recordings, and the files of which all this speaks. */
export function fileSection(report: MixFileReport): Markup {
  const { mix, unprocessed, plan, inputs, references, context, speed } = report;
  const recordings = Object.entries(inputs).map(([name, { file, levels }]) => [
    name,
    file,
    figure(levels.channels, 0),
    figure(levels.frames / mix.sampleRateHz, 1),
    figure(levels.peakDb, 1),
    figure(levels.rmsDb, 1),
    figure(levels.clippedRuns, 0),
    figure(levels.nonFiniteSamples, 0),
  ]);
  const files: readonly FileReport[] = [
    plan,
    mix,
    unprocessed,
    ...Object.values(inputs),
    ...(references?.files ?? []),
    ...Object.values(context?.files ?? {}),
  ];
  const head = ['input', 'file', 'channels', 'seconds read', 'peak dBFS', 'rms', 'clipped runs', 'no numbers'];
  return markup`${tableOf('Recordings', head, recordings, { texts: [0, 1] })}
    ${tableOf(
      'Files by their SHA-256',
      ['file', 'digest'],
      files.map(({ file, sha256 }) => [file, markup`<code>${sha256}</code>`]),
      { texts: [0, 1] },
    )}
    <p>
      ${figure(speed.mixSeconds, 1)} s at ${figure(mix.sampleRateHz, 0)} Hz, rendered in
      ${figure(speed.renderSeconds, 1)} s: ${figure(speed.timesRealTime, 1)} times real time.
    </p>`;
}
