/**
 * Finds the hits of a plan file: a table to read, a drawing of each microphone with its hits, lists for other programs.
 *
 *     plan.json, WAV files --> hits.svg, and on request hits.json, hits.csv, hits.mid
 *
 * @module
 */
import { mkdirSync } from 'node:fs';
import { dirname, join, resolve } from 'node:path';
import type { HitList } from '../hits/hit-list.ts';
import { hitsToCsv } from '../hits/hits-csv.ts';
import type { HitsPlan } from '../mix/hits-plan.ts';
import { prepareMix } from '../mix/renderer.ts';
import { drawCharts } from '../plots/draw-charts.ts';
import { timeChart } from '../plots/time-chart.ts';
import { writeWhole } from './files.ts';
import { readHitFiles } from './hit-files.ts';
import { hitsToMidi } from './midi-hits.ts';
import { readPlanFile } from './mix-plan-file.ts';
import { mixPlaces } from './mix-places.ts';
import { openInputs, type WavInput } from './wav-files.ts';

/** What is written besides the drawing. */
export interface HitsPlanFileOptions {
  /** Folder for what is written; that of the plan unless given. */
  readonly folder?: string | undefined;
  /** Whether the list is written as JSON. */
  readonly json?: boolean | undefined;
  /** Whether it is written as comma-separated values. */
  readonly csv?: boolean | undefined;
  /** Every drum must then have a note: see `percussionNotes`. */
  readonly midi?: boolean | undefined;
}

/** What was found and written. */
export interface HitsFolder {
  /** What was found. */
  readonly list: HitList;
  /** The drums of the plan. */
  readonly drums: HitsPlan['drums'];
  /** Paths of what was written. */
  readonly files: readonly string[];
}

/** Width of a drawing that tells hits apart. */
const WIDTH = 1600;
/** Values of a drawn waveform per second. */
const DRAWN_HZ = 2000;

/**
 * Finds the hits of the plan at `planPath`.
 *
 * @throws as `mixPlanFile` does; RangeError if the plan has no hits
 */
export function hitsPlanFile(planPath: string, options: HitsPlanFileOptions = {}): HitsFolder {
  const plan = readPlanFile(planPath);
  if (!plan.hits) throw noHits(planPath);
  const places = mixPlaces(planPath, plan, options.folder);
  const inputs = openInputs(places.inputs);
  try {
    const [first] = Object.values(inputs);
    const { hits } = prepareMix(plan, inputs, { hits: readHitFiles(planPath, plan, first.sampleRateHz) });
    if (!hits) throw noHits(planPath);
    const { list } = hits;
    const folder = resolve(options.folder ?? dirname(planPath));
    mkdirSync(folder, { recursive: true });
    const written: readonly (readonly [name: string, content: string | Uint8Array])[] = [
      ['hits.svg', drawing(plan.hits, list, (name) => channelOf(inputs[name], plan.inputs[name].channel))],
      ...(options.json ? [['hits.json', `${JSON.stringify(list, null, 1)}\n`] as const] : []),
      ...(options.csv ? [['hits.csv', hitsToCsv(list)] as const] : []),
      ...(options.midi ? [['hits.mid', hitsToMidi(list)] as const] : []),
    ];
    for (const [name, content] of written) writeWhole(join(folder, name), content);
    return { list, drums: plan.hits.drums, files: written.map(([name]) => join(folder, name)) };
  } finally {
    for (const input of Object.values(inputs)) input.close();
  }
}

/** Each microphone over time, with a rule at every hit. */
function drawing({ drums }: HitsPlan, list: HitList, peaksOf: (input: string) => Float64Array): string {
  const charts = Object.entries(drums).map(([drum, { microphone }]) => {
    const hits = list.hits.filter((hit) => hit.drum === drum);
    return timeChart({
      title: `${drum}: ${hits.length} hits in ${microphone}`,
      description: `Waveform of ${microphone} with a rule at every hit of ${drum}`,
      width: WIDTH,
      height: 220,
      sampleRateHz: DRAWN_HZ,
      label: 'Amplitude',
      traces: [{ values: peaksOf(microphone) }],
      rules: hits.map(({ sample }) => ({ seconds: sample / list.sampleRateHz })),
    });
  });
  return drawCharts(
    'Hits',
    charts.map((chart) => [chart]),
  );
}

/** The extreme of every stretch of 1 / {@link DRAWN_HZ} s, so that a long recording takes little memory. */
function channelOf(input: WavInput, channel = 0): Float64Array {
  const step = Math.max(1, Math.round(input.sampleRateHz / DRAWN_HZ));
  const peaks = new Float64Array(Math.ceil(input.frames / step));
  const pieces = Array.from({ length: input.channels }, () => new Float64Array(step));
  for (let p = 0; p < peaks.length; p++) {
    const count = input.read(p * step, pieces, Math.min(step, input.frames - p * step));
    for (let i = 0; i < count; i++)
      if (Math.abs(pieces[channel][i]) > Math.abs(peaks[p])) peaks[p] = pieces[channel][i];
  }
  return peaks;
}

function noHits(planPath: string): RangeError {
  return new RangeError(`${planPath}: hits must name at least one drum (a plan of "batterhead plan FOLDER" does)`);
}
