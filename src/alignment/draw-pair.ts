/**
 * Picture of a pair: how two microphones hear a typical hit before and after the moves, their sum, and the correlation with
 * the peak that was chosen.
 *
 *     +-- before ----------+  +-- after -----------+
 *     |  reference, other, |  |                    |
 *     |  sum               |  |                    |
 *     +--------------------+  +--------------------+
 *     +-- correlation -----------------------------+
 *     +---------------------------------------------+
 *
 * Both microphones are drawn at the same peak, so that a close and a distant one can be compared, and so is their sum
 * made.
 *
 * @module
 */
import type { SampleSource } from '../core/sample-source.ts';
import { type Chart } from '../plots/chart.ts';
import { correlationChart } from '../plots/correlation-chart.ts';
import { drawCharts } from '../plots/draw-charts.ts';
import { waveformChart } from '../plots/time-chart.ts';
import { movedSource } from './apply-alignment.ts';
import type { AlignmentMove, PairAlignment } from './kit-alignment.ts';
import { type AlignmentMoves, leadOf, moveOf, NO_MOVE } from './moves.ts';

/** A pair with its recordings. */
export interface PairPicture {
  /** The estimate and the place of each of the two in the kit's solution. */
  readonly pair: PairAlignment;
  /** Samples of the pair's reference microphone. */
  readonly reference: SampleSource;
  /** Samples of the other microphone. */
  readonly other: SampleSource;
  /** By the names of the microphones. */
  readonly moves: AlignmentMoves;
  /** Sample rate in hertz. */
  readonly sampleRateHz: number;
}

const BEFORE_MS = 2;
const AFTER_MS = 12;
const CHART_WIDTH = 560;
const CHART_HEIGHT = 280;

/** The picture as an SVG document. */
export function drawPair(picture: PairPicture): string {
  const { pair } = picture;
  const { delaySamples, polarity, confidence, correlation } = pair.estimate;
  const heading = `${pair.drum}: ${pair.reference} and ${pair.other}`;
  const found = `${pair.other} is ${Math.abs(delaySamples).toFixed(2)} samples ${delaySamples < 0 ? 'earlier' : 'later'}`;
  const turned = polarity < 0 ? ', inverted' : '';
  return drawCharts(heading, [
    [hitChart(picture, 'Before', false), hitChart(picture, 'After', true)],
    [
      correlationChart({
        ...correlation,
        title: `Correlation: ${found}${turned}, confidence ${confidence.toFixed(2)}`,
        chosenSamples: delaySamples,
        width: 2 * CHART_WIDTH,
        height: CHART_HEIGHT,
      }),
    ],
  ]);
}

function hitChart({ pair, reference, other, moves, sampleRateHz }: PairPicture, title: string, moved: boolean): Chart {
  const perMs = sampleRateHz / 1000;
  const lead = leadOf(moves);
  const start = Math.round(typicalHit(pair) + lead - BEFORE_MS * perMs);
  const length = Math.round((BEFORE_MS + AFTER_MS) * perMs + Math.abs(pair.estimate.delaySamples));
  const stretch = (source: SampleSource, move: AlignmentMove) => {
    const samples = new Float64Array(length);
    movedSource(source, move, lead).read(start, samples);
    return atPeakOne(samples);
  };
  const a = stretch(reference, moved ? moveOf(moves, pair.reference) : NO_MOVE),
    b = stretch(other, moved ? moveOf(moves, pair.other) : NO_MOVE);
  return waveformChart({
    title,
    description: `${pair.reference}, ${pair.other} and their sum around a hit, both at the same peak.`,
    sampleRateHz,
    startSeconds: -BEFORE_MS / 1000,
    traces: [
      { name: pair.reference, values: a },
      { name: pair.other, values: b },
      { name: 'sum', values: a.map((v, n) => v + b[n]), dash: 'dashed' },
    ],
    range: { from: -2.2, to: 2.2 },
    width: CHART_WIDTH,
    height: CHART_HEIGHT,
  });
}

/** The hit of middle weight, outliers left out; the beginning if there is none. */
function typicalHit({ estimate }: PairAlignment): number {
  const hits = estimate.hits.filter(({ outlier }) => !outlier).sort((p, q) => p.weight - q.weight);
  return hits.length === 0 ? 0 : hits[hits.length >> 1].sample;
}

function atPeakOne(samples: Float64Array): Float64Array {
  const peak = samples.reduce((most, v) => Math.max(most, Math.abs(v)), 0);
  return peak === 0 ? samples : samples.map((v) => v / peak);
}
