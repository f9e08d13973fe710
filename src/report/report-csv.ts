/**
 * Report of a mix as one tidy table: a line for each figure, so that any program can filter and draw it.
 *
 *     section,subject,quantity,at,value,unit
 *     gain,buses.kick chain 1 compressor,lowest,0.02,-4.31,dB
 *
 * `at` is a time in seconds or the middle of a band in Hz, as the unit of the section says; empty for what has none.
 * Silence, and whatever has no figure, has an empty value.
 *
 * @module
 */
import { unitOf } from './figure.ts';
import type { MixFileReport, SoundReport } from './mix-file-report.ts';

type Value = string | number | boolean | null | undefined;
type Row = readonly [section: string, subject: string, quantity: string, at: Value, value: Value, unit: string];

/** The table, with a line of names first. */
export function reportCsv(report: MixFileReport): string {
  const head = ['section', 'subject', 'quantity', 'at', 'value', 'unit'];
  const rows = [
    ...warningRows(report),
    ...soundRows('mix', report.mix),
    ...soundRows('unprocessed', report.unprocessed),
    ...referenceRows(report),
    ...maskingRows(report),
    ...alignmentRows(report),
    ...hitRows(report),
    ...stripRows(report),
    ...fileRows(report),
  ];
  return `${[head, ...rows].map((row) => row.map(csvCell).join(',')).join('\n')}\n`;
}

/** A cell of a CSV file (RFC 4180); what is no number is empty. */
export function csvCell(value: Value): string {
  if (value === null || value === undefined || (typeof value === 'number' && !Number.isFinite(value))) return '';
  const text = String(value);
  return /[",\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text;
}

function warningRows({ warnings }: MixFileReport): Row[] {
  return warnings.map(({ harm, text }, i) => ['warning', String(i + 1), harm, null, text, '']);
}

function soundRows(subject: string, { figures, loudness }: SoundReport): Row[] {
  const single = Object.entries(figures).filter((entry): entry is [string, number | null] => !Array.isArray(entry[1]));
  const over = (quantity: string, values: readonly (number | null)[]) =>
    values.map((value, c): Row => ['loudness', subject, quantity, (c + 1) * loudness.columnSeconds, value, 'LUFS']);
  return [
    ...single.map(([quantity, value]): Row => ['figure', subject, quantity, null, value, unitOf(quantity)]),
    ...over('momentary', loudness.momentaryLufs),
    ...over('short-term', loudness.shortTermLufs),
    ...(['thirdOctaves', 'erbBands'] as const).flatMap((kind) =>
      figures[kind].flatMap(({ frequencyHz, levelDb, correlation, width }): Row[] => [
        [kind, subject, 'level', frequencyHz, levelDb, 'dBFS'],
        [kind, subject, 'correlation', frequencyHz, correlation, ''],
        [kind, subject, 'width', frequencyHz, width, ''],
      ]),
    ),
  ];
}

function referenceRows({ references }: MixFileReport): Row[] {
  const { gainsDb = {}, quantities = [], findings = [] } = references?.comparison ?? {};
  return [
    ...findings.map((text, i): Row => ['reference', String(i + 1), 'finding', null, text, '']),
    ...Object.entries(gainsDb).map(([name, gainDb]): Row => ['reference', name, 'gain to the mix', null, gainDb, 'dB']),
    ...quantities.flatMap(({ name, unit, value, least, greatest, beyond, verdict }): Row[] => [
      ['reference', name, 'mix', null, value, unit],
      ['reference', name, 'least', null, least, unit],
      ['reference', name, 'greatest', null, greatest, unit],
      ['reference', name, 'beyond', null, beyond, unit],
      ['reference', name, 'verdict', null, verdict, ''],
    ]),
  ];
}

function maskingRows({ context }: MixFileReport): Row[] {
  return (context?.parts ?? []).flatMap(({ name, facts, bands, map }) => [
    ...facts.map((text, i): Row => ['masking', name, `fact ${i + 1}`, null, text, '']),
    ...bands.flatMap(({ frequencyHz, marginDb, maskedPercent, masker }, b): Row[] => [
      ['masking', name, 'margin', frequencyHz, marginDb, 'dB'],
      ['masking', name, 'masked', frequencyHz, maskedPercent, '%'],
      ['masking', name, 'masker', frequencyHz, masker, ''],
      ...(map?.marginDb[b] ?? []).map((margin, c): Row => {
        const seconds = (c + 0.5) * (map?.columnSeconds ?? 0);
        return ['masking map', name, `margin at ${frequencyHz.toFixed(1)} Hz`, seconds, margin, 'dB'];
      }),
    ]),
  ]);
}

function alignmentRows({ mix: { alignment } }: MixFileReport): Row[] {
  return [
    ...Object.entries(alignment.moves).flatMap(([name, { delaySamples, polarity }]): Row[] => [
      ['move', name, 'delay', null, delaySamples, 'samples'],
      ['move', name, 'polarity', null, polarity, ''],
    ]),
    ...alignment.pairs.flatMap((pair): Row[] => {
      const subject = `${pair.drum}: ${pair.reference} + ${pair.other}`;
      return [
        ['pair', subject, 'delay', null, pair.delaySamples, 'samples'],
        ['pair', subject, 'polarity', null, pair.polarity, ''],
        ['pair', subject, 'confidence', null, pair.confidence, ''],
        ['pair', subject, 'left over', null, pair.residualSamples, 'samples'],
        ['pair', subject, 'gain of the lows', null, pair.low.gainDb, 'dB'],
        ['pair', subject, 'used', null, pair.used, ''],
      ];
    }),
  ];
}

function hitRows({ mix: { hits = {} } }: MixFileReport): Row[] {
  return Object.entries(hits).flatMap(([drum, { hits: count, rejected, layered, bleed }]): Row[] => [
    ['hits', drum, 'hits', null, count, ''],
    ['hits', drum, 'rejected', null, rejected, ''],
    ['hits', drum, 'samples layered', null, layered?.samples, ''],
    ['hits', drum, 'bleed down', null, bleed?.bleedDownDb, 'dB'],
  ]);
}

function stripRows({ mix: { strips, lowEnd }, speed }: MixFileReport): Row[] {
  return [
    ...Object.entries(lowEnd.relativeDb).map(([path, level]): Row => [
      'low end',
      path,
      `below ${lowEnd.belowHz} Hz`,
      null,
      level,
      'dB',
    ]),
    ...Object.entries(strips).flatMap(([path, { chain, peakDb, startSamples, endSamples }]): Row[] => [
      ['strip', path, 'peak', null, peakDb, 'dBFS'],
      ['strip', path, 'start', null, startSamples, 'samples'],
      ['strip', path, 'end', null, endSamples, 'samples'],
      ...chain.flatMap(({ type, values, latencySamples, gain }, b): Row[] => {
        const subject = `${path} chain ${b + 1} ${type}`;
        const columns = gain?.columns ?? { lowestDb: [], highestDb: [] };
        const over = (quantity: string, gains: readonly number[]) =>
          gains.map((value, c): Row => {
            const seconds = ((c + 0.5) * speed.mixSeconds) / gains.length;
            return ['gain', subject, quantity, seconds, value, 'dB'];
          });
        return [
          ['block', subject, 'latency', null, latencySamples, 'samples'],
          ...Object.entries(values).map(([name, value]): Row => ['block', subject, name, null, value, unitOf(name)]),
          ['block', subject, 'lowest gain', null, gain?.lowestDb, 'dB'],
          ['block', subject, 'mean gain', null, gain?.meanDb, 'dB'],
          ['block', subject, 'highest gain', null, gain?.highestDb, 'dB'],
          ...over('lowest', columns.lowestDb),
          ...over('highest', columns.highestDb),
        ];
      }),
    ]),
  ];
}

function fileRows({ plan, mix, unprocessed, inputs, references, context, speed }: MixFileReport): Row[] {
  const files = [plan, mix, unprocessed, ...(references?.files ?? []), ...Object.values(context?.files ?? {})];
  return [
    ...Object.entries(inputs).flatMap(([name, { file, sha256, truncated, levels }]): Row[] => [
      ['input', name, 'file', null, file, ''],
      ['input', name, 'sha256', null, sha256, ''],
      ['input', name, 'truncated', null, truncated, ''],
      ...Object.entries(levels).map(([quantity, value]): Row => [
        'input',
        name,
        quantity,
        null,
        value as number | null,
        unitOf(quantity),
      ]),
    ]),
    ...files.map(({ file, sha256 }): Row => ['file', file, 'sha256', null, sha256, '']),
    ...Object.entries(speed).map(([quantity, value]): Row => ['speed', 'mix', quantity, null, value, '']),
  ];
}
