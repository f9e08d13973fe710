/**
 * Warnings: what of a mix deserves a look, in the order of the harm that it does.
 *
 *     spoilt      sound is missing or distorted, and no later step brings it back
 *     doubtful    a decision rests on little, or a later step may distort
 *     notable     what is covered, what departs from others, what is worth knowing
 *
 * Facts, not commands: what somebody wants to sound like is theirs to decide.
 *
 * @module
 */
import type { Harm, MixFileReport, Warning } from './mix-file-report.ts';

/** A report before its warnings are known. */
export type JudgedReport = Omit<MixFileReport, 'warnings'>;

/** A waveform that rises this far above a ceiling between the samples is told; less is the interpolator's tolerance. */
const OVER_DB = 0.1;
/** A reverberation that adds so little below 150 Hz is not heard as mud (common practice). */
const LOW_END_DB = -12;
/** Mean of a recording that takes headroom: -40 dBFS (common practice). */
const DC_OFFSET = 0.01;

/** All warnings, the most harmful first. */
export function warningsOf(report: JudgedReport): readonly Warning[] {
  const spoilt = [...inputFaults(report), ...mixFaults(report)];
  const doubtful = [...alignmentDoubts(report), ...peakDoubts(report), ...inputDoubts(report)];
  const notable = [...maskedBands(report), ...lowEnds(report), ...departures(report), ...remarks(report)];
  const told = (harm: Harm, texts: readonly string[]) => texts.map((text): Warning => ({ harm, text }));
  return [...told('spoilt', spoilt), ...told('doubtful', doubtful), ...told('notable', notable)];
}

function inputFaults({ inputs }: JudgedReport): readonly string[] {
  const of = (fault: (input: JudgedReport['inputs'][string]) => string | false) =>
    Object.entries(inputs).flatMap(([name, input]) => {
      const text = fault(input);
      return text === false ? [] : [`${name} (${input.file}) ${text}`];
    });
  return [
    ...of(({ levels: { nonFiniteSamples: count } }) => count > 0 && uselessText(count)),
    ...of(({ truncated }) => truncated && 'is shorter than its header says: what is there was mixed'),
    ...of(
      ({ levels: { clippedRuns, clippedSamples } }) =>
        clippedRuns > 0 && `is clipped in ${clippedRuns} places, ${clippedSamples} samples in all`,
    ),
  ];
}

function uselessText(count: number): string {
  return count === 1
    ? 'has 1 sample that is no usable number and counts as 0'
    : `has ${count} samples that are no usable numbers and count as 0`;
}

function mixFaults({ mix }: JudgedReport): readonly string[] {
  return [
    ...(mix.loudnessLufs === null ? [`${mix.file} is silent, or too short for its loudness to be measured`] : []),
    ...(mix.clippedSamples > 0
      ? [`${mix.file}: ${mix.clippedSamples} samples did not fit the file and were clipped`]
      : []),
  ];
}

function peakDoubts({ mix }: JudgedReport): readonly string[] {
  const truePeakDb = mix.figures.truePeakDb;
  const last = mix.strips['mixBus'].chain.findLast(({ type }) => type === 'limiter');
  const ceilingDb = Math.min(0, Number(last?.values['ceilingDb'] ?? 0));
  if (!(truePeakDb > ceilingDb + OVER_DB)) return [];
  const above = `${(truePeakDb - ceilingDb).toFixed(1)} dB above`;
  return [
    `the true peak of ${mix.file} is ${truePeakDb.toFixed(1)} dBTP, ${above} ` +
      (last ? `the ceiling of the limiter (${ceilingDb} dB)` : 'full scale'),
  ];
}

/** Pairs that the moves rest on although they say little, and microphones for which there is no better pair. */
function alignmentDoubts({ mix }: JudgedReport): readonly string[] {
  const { pairs } = mix.alignment;
  return pairs.flatMap((pair) => {
    const { reference, other, drum, close, confidence, used, note, reasons } = pair;
    const replaced = pairs.some(
      (one) => one.used && !close && !one.close && (one.drum === drum || one.other === other),
    );
    const why = [note, ...reasons].filter((text) => text !== '');
    if (why.length === 0 || (!used && replaced)) return [];
    const what = `alignment of ${other} with ${reference} (${drum}), confidence ${confidence.toFixed(2)}`;
    return [`${what}: ${why.join('; ')}`];
  });
}

function inputDoubts({ inputs }: JudgedReport): readonly string[] {
  return Object.entries(inputs).flatMap(([name, { file, levels }]) => [
    ...(levels.dcOffset >= DC_OFFSET
      ? [`${name} (${file}) has an offset of ${(100 * levels.dcOffset).toFixed(1)} % of full scale`]
      : []),
    ...(levels.frames > 0 && levels.peakDb === null ? [`${name} (${file}) is silent`] : []),
  ]);
}

function lowEnds({ mix: { lowEnd } }: JudgedReport): readonly string[] {
  return Object.entries(lowEnd.relativeDb).flatMap(([path, level]) =>
    level !== null && level > LOW_END_DB
      ? [`${path} adds ${level.toFixed(1)} dB below ${lowEnd.belowHz} Hz, relative to the dry kit`]
      : [],
  );
}

function maskedBands({ context }: JudgedReport): readonly string[] {
  return (context?.parts ?? []).flatMap(({ facts }) => facts);
}

function departures({ references }: JudgedReport): readonly string[] {
  return references?.comparison?.findings ?? [];
}

function remarks({ mix, unprocessed, inputs }: JudgedReport): readonly string[] {
  return [
    ...(mix.tailCut ? ['a tail without end was cut; output.maxTailSeconds says when'] : []),
    ...((unprocessed.peakDb ?? 0) > 0
      ? [`${unprocessed.file} rises above full scale: a player without headroom would clip it`]
      : []),
    ...Object.entries(inputs).flatMap(([name, { file, levels }]) =>
      levels.frames === 0 ? [`${name} (${file}) is heard in no channel`] : [],
    ),
  ];
}
